// A shift seen live in a real browser, from a real daemon that hears it.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { logIn, openBrowser, Station } from "./station.mjs";

let station;
let browser;
before(async () => {
  station = new Station({ shift: "after_stun", speed: 1 });
  await station.start();
  browser = await openBrowser();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});

test("the count goes up as animals pass, the phase is shown, and the alarm after the stun is acknowledged", async () => {
  const page = await browser.newPage();
  const complaints = [];
  page.on("pageerror", (error) => complaints.push(error.message));
  await logIn(page, station, "rosa");
  const columns = page.locator("passage-strip svg[role=img] g");
  await page.waitForSelector("[data-reading=now] .value:text-matches('body held|head held|after the stun')", { timeout: 30_000 });

  const alarm = page.locator("section.alarm").first();
  await alarm.waitFor({ timeout: 40_000 });
  assert.match(await alarm.innerText(), /after the stun/i);
  assert.match(await alarm.innerText(), /trained person checks the animal now/);
  await alarm.locator("button").click();
  await page.waitForSelector("section.alarm .tag:text('rosa sees to it')");

  await page.waitForFunction(() => document.querySelectorAll("passage-strip svg[role=img] g").length >= 2, null, { timeout: 40_000 });
  assert.ok((await columns.count()) >= 2);
  assert.match(await page.locator(".share .of").innerText(), /\d+ of 2 animals cried out/);
  assert.deepEqual(complaints, []);

  const again = await browser.newPage();
  await logIn(again, station, "screen");
  await again.waitForSelector("section.alarm");
  assert.equal(await again.locator("section.alarm button").count(), 0, "a wall screen may not acknowledge");
  assert.equal(await again.locator("nav.rail").count(), 0, "a wall screen has only the live page");
});
