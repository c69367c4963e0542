// A station with two microphones: the running spectrogram shows the one that is chosen.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { logIn, openBrowser, Station } from "./station.mjs";

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
