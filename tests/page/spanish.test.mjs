// A reader of Spanish is told in Spanish what the station itself says: alarms, refusals, why a call counted.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { answerOf, logIn, openBrowser, people, Station } from "./station.mjs";

let station;
let browser;
let page;
before(async () => {
  station = new Station({ shift: "after_stun", speed: 2, historyDays: 5 });
  await station.start();
  browser = await openBrowser();
  page = await (await browser.newContext({ locale: "es" })).newPage();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});

test("a wrong password is refused in the reader's language", async () => {
  await page.goto(station.address);
  await page.fill("input[name=name]", "rosa");
  await page.fill("input[name=password]", "no es la contraseña");
  await page.click("login-page button.main");
  await page.waitForSelector("login-page .trouble:text-is('el nombre o la contraseña son incorrectos: intente de nuevo')");
  await page.fill("input[name=password]", people.rosa.password);
});

test("an alarm says in Spanish what was heard and what to do", async () => {
  await logIn(page, station, "rosa");
  const alarm = page.locator("section.alarm").first();
  await alarm.waitFor({ timeout: 60_000 });
  assert.match(await alarm.innerText(), /El micrófono head escuchó un (mugido|bramido) de \d,\d s tras el aturdido del animal \d+, a las \d\d:\d\d:\d\d\./);
  assert.match(await alarm.innerText(), /Una persona capacitada revisa al animal ahora/);
  assert.match(await alarm.innerText(), /señal de que vuelve la sensibilidad/);
  assert.equal(await alarm.locator("[lang=en]").count(), 0);
});

test("why a call was taken for one is told in Spanish, measure by measure", async () => {
  // The one that the station heard itself, not the history's.
  await answerOf(page, "/calls?most=1&phase=after_stun", ({ calls: [call] }) => call && Date.now() - Date.parse(call.start) < 3_600_000);
  await page.goto(`${station.address}/calls?phase=after_stun`);
  await page.locator("calls-page tbody a").first().click();
  await page.waitForSelector("call-desk .reasons li:nth-child(2)");
  const reasons = page.locator("call-desk .reasons").first();
  assert.equal(await reasons.locator("[lang=en]").count(), 0, await reasons.innerText());
  assert.match(await reasons.innerText(), /(más de|como máximo) .*: [+−]\d+,\d puntos/);
});

test("what goes with the calls is told without an English line, and English comes back by its button", async () => {
  await page.goto(`${station.address}/factors`);
  await page.waitForSelector("factors-page details.group");
  assert.equal(await page.locator("main [lang=en]").count(), 0);
  assert.match(await page.locator("factors-page").innerText(), /piso, luz, personas a la vista/);
  await page.click("header button[lang=en]");
  await page.waitForSelector("html[lang=en]");
  assert.match(await page.locator("factors-page").innerText(), /footing, light, people seen ahead/);
});

test("a check of the station says in Spanish what is good and what to do", async () => {
  const context = await browser.newContext({ locale: "es" });
  const admin = await context.newPage();
  await logIn(admin, station, "ines");
  await admin.goto(`${station.address}/station`);
  await admin.click("[data-check]");
  await admin.waitForSelector("[data-check-state]");
  assert.ok((await admin.locator("[data-check-state]").count()) >= 10);
  assert.equal(await admin.locator("station-check [lang=en]").count(), 0, await admin.locator("station-check").innerText());
  assert.match(await admin.locator("station-check").innerText(), /MB libres donde están los registros/);
});
