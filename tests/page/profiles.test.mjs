// Another profile is compared, chosen and taken, and the former one again, on the page alone.
import assert from "node:assert/strict";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { logIn, openBrowser, Station, tree } from "./station.mjs";

let station;
let browser;
before(async () => {
  station = new Station({ shift: "short", speed: 4 });
  const shipped = readFileSync(join(tree, "classifiers/profiles/cattle.toml"), "utf8");
  mkdirSync(join(station.out, "profiles"), { recursive: true });
  writeFileSync(join(station.out, "profiles/second.toml"), shipped.replace(/^name = .*$/m, 'name = "second hall"'));
  await station.start();
  browser = await openBrowser();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});

const entry = (page, name) => page.locator("station-page li.entry", { hasText: name });

async function takeProfile(page, name) {
  page.once("dialog", (dialog) => dialog.accept());
  await entry(page, name).getByRole("button", { name: "Use it" }).click();
  await page.waitForSelector("station-page p[role=status]:has-text('Chosen')");
  await page.waitForSelector("station-page p:has-text('waits for a reload')");
  page.once("dialog", (dialog) => dialog.accept());
  const anew = station.servedAnew();
  await page.locator("[data-take]").first().click();
  await anew;
  await page.goto(`${station.address}/station`);
  await entry(page, name).locator(".tag", { hasText: "In use" }).waitFor();
  assert.equal(await page.locator("station-page .tag", { hasText: "In use" }).count(), 1);
  assert.equal(await page.locator("station-page p:has-text('waits for a reload')").count(), 0);
}

test("another profile is compared, used after a reload, and the former one again", async () => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "ines");
  await page.goto(`${station.address}/station`);
  await entry(page, "second hall").getByRole("button", { name: "Compare" }).click();
  await page.waitForSelector("station-page tr:has-text('name'):has-text('second hall')");
  await takeProfile(page, "second hall");
  await entry(page, "second hall").getByText("Chosen by ines").waitFor();
  const health = await (await fetch(`${station.address}/healthz`)).status;
  assert.equal(health, 200);
  const former = await page.locator("station-page li.entry").filter({ hasNotText: "second hall" }).filter({ hasText: "cattle" }).locator("strong").first().innerText();
  await takeProfile(page, former);
});

test("a manager sees the profiles and can't choose one", async () => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "max");
  await page.goto(`${station.address}/station`);
  await entry(page, "second hall").getByRole("button", { name: "Compare" }).waitFor();
  assert.equal(await page.getByRole("button", { name: "Use it" }).count(), 0);
});
