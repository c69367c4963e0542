// Who may come in, and what is refused.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { logIn, openBrowser, refusedByPolicy, Station } from "./station.mjs";

let station;
let browser;
before(async () => {
  station = new Station({ shift: "short", speed: 4, historyDays: 3 });
  await station.start();
  browser = await openBrowser();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});

test("a wrong password is told and lets nobody in", async () => {
  const page = await (await browser.newContext()).newPage();
  await page.goto(station.address);
  await page.fill("input[name=name]", "rosa");
  await page.fill("input[name=password]", "not the password");
  await page.click("login-page button.main");
  await page.waitForSelector("login-page .trouble");
  assert.equal(await page.locator("header.mast").count(), 0);
});

test("a wall screen that goes to a reviewer's page is told so", async () => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "screen");
  await page.goto(`${station.address}/calls`);
  await page.waitForSelector("main .trouble");
  assert.equal(await page.locator("calls-page").count(), 0);
});

test("a session that has ended leads back to the door", async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  await logIn(page, station, "rosa");
  await context.clearCookies();
  await page.click("nav.rail a[href='/shifts']");
  await page.waitForSelector("login-page");
});

test("a request that is forged by another site, or has no token, changes nothing", async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  await logIn(page, station, "max");
  const answers = await page.evaluate(async () => {
    const bare = await fetch("/api/v1/logout", { method: "POST" });
    const wrong = await fetch("/api/v1/logout", { method: "POST", headers: { "X-Quietpass-Token": "0".repeat(43) } });
    return [bare.status, wrong.status];
  });
  assert.deepEqual(answers, [403, 403]);
  const cookies = await context.cookies();
  const forged = await fetch(`${station.address}/api/v1/logout`, { method: "POST", headers: { cookie: cookies.map((cookie) => `${cookie.name}=${cookie.value}`).join("; "), origin: "https://elsewhere.example" } });
  assert.equal(forged.status, 403);
  assert.ok(cookies.some((cookie) => cookie.name === "quietpass_session" && cookie.httpOnly && cookie.sameSite === "Strict"));
  await page.reload();
  await page.waitForSelector("header.mast");
});

test("the page loads nothing from elsewhere and breaks no rule of its own policy", async () => {
  const page = await (await browser.newContext()).newPage();
  const foreign = [];
  const refused = refusedByPolicy(page);
  page.on("request", (request) => request.url().startsWith(station.address) || foreign.push(request.url()));
  await logIn(page, station, "max");
  for (const path of ["/", "/shifts", "/calls", "/changes", "/station", "/audit"]) {
    await page.goto(station.address + path);
    await page.waitForSelector("main h1");
  }
  assert.deepEqual(foreign, []);
  assert.deepEqual(refused, []);
});
