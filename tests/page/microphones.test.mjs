// A station with two microphones: the running spectrogram shows the one that is chosen. Its settings are taken anew.
import assert from "node:assert/strict";
import { readFileSync, writeFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { answerOf, logIn, openBrowser, Station } from "./station.mjs";

let station;
let browser;
before(async () => {
  const device = 'device = "default"\n';
  station = new Station({ shift: "short_two", speed: 1, edit: (text) => text.replace(device, `${device}up_race_m = 0\n[[microphone]]\nname = "race"\n${device}up_race_m = 7\n`) });
  await station.start();
  browser = await openBrowser();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});

test("the sound of either microphone is shown, the first until the other is chosen", async () => {
  const page = await browser.newPage();
  await logIn(page, station, "screen");
  await page.waitForSelector("canvas[data-microphone=head]");
  const picture = () => page.locator("running-spectrogram canvas").evaluate((canvas) => canvas.toDataURL().length);
  await page.waitForFunction(() => document.querySelector("running-spectrogram canvas").toDataURL().length > 5000, null, { timeout: 30_000 });
  await page.locator("running-spectrogram select").selectOption("race");
  await page.waitForSelector("canvas[data-microphone=race]");
  assert.ok((await picture()) > 5000, "its sound so far is there at once");
});

test("settings altered in the station file are shown, and taken when an administrator says so", async () => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "ines");
  writeFileSync(station.stationFile, readFileSync(station.stationFile, "utf8").replace("limit_percent = 5.0", "limit_percent = 4.0"));
  await page.goto(`${station.address}/station`);
  await page.waitForSelector("station-page tr:has-text('scoring.limit_percent'):has-text('5.0 → 4.0')");
  page.once("dialog", (dialog) => dialog.accept());
  const anew = station.servedAnew();
  await page.click("[data-take]");
  await page.waitForSelector("station-page p[role=status]:has-text('The station takes them now')");
  await anew;
  await page.goto(station.address); // still logged in
  await page.waitForSelector("live-page .share");
  await answerOf(page, "/live", ({ share }) => share?.limit_percent === 4);
});

test("a manager sees what a reload would change and has no button for it", async () => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "max");
  writeFileSync(station.stationFile, readFileSync(station.stationFile, "utf8").replace("limit_percent = 4.0", "limit_percent = 3.0"));
  await page.goto(`${station.address}/station`);
  await page.waitForSelector("station-page tr:has-text('scoring.limit_percent')");
  assert.equal(await page.locator("[data-take]").count(), 0);
});
