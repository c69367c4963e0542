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

test("a session that was ended elsewhere leads back to the door, though the browser still has its cookie", async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  await logIn(page, station, "rosa");
  const cookies = await context.cookies();
  const second = await context.newPage();
  await second.goto(station.address);
  await second.click("header.mast button:text-is('Log out')");
  await second.waitForSelector("login-page");
  await context.addCookies(cookies); // as a copy of it would come
  assert.equal((await context.cookies()).length, cookies.length);
  await page.click("nav.rail a[href='/shifts']");
  await page.waitForSelector("login-page");
  const session = await page.evaluate(async () => (await fetch("/api/v1/shifts")).status);
  assert.equal(session, 401);
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
  assert.ok(cookies.some((cookie) => cookie.name === "quietpass_session" && cookie.httpOnly && cookie.sameSite === "Strict"));
  const token = await page.evaluate(async () => (await (await fetch("/api/v1/session")).json()).token);
  const cookie = cookies.map(({ name, value }) => `${name}=${value}`).join("; ");
  const sent = (origin) => fetch(`${station.address}/api/v1/logout`, { method: "POST", headers: { cookie, origin, "X-Quietpass-Token": token } });
  for (const origin of ["https://elsewhere.example", "null", `${station.address}.elsewhere.example`]) {
    assert.equal((await sent(origin)).status, 403, `with cookie and token, from ${origin}`);
  }
  await page.reload();
  await page.waitForSelector("header.mast");
  const own = await sent(station.address); // all that was wrong with the others was where they came from
  assert.ok(own.ok, String(own.status));
  await page.reload();
  await page.waitForSelector("login-page");
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
