// Every page, in both languages, light and dark, from a phone to a wall: nothing overflows, and nothing that axe-core
// knows keeps people out. The first page is light and quick.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeSource, logIn, openBrowser, Station } from "./station.mjs";

const paths = ["/", "/shifts", "/shifts/1", "/calls", "/factors", "/changes", "/lots", "/audit", "/cases", "/station", "/nowhere"];
const widths = [390, 820, 1280, 3840];
let station;
let browser;
before(async () => {
  // In the evening of the station's zone it is the next day by UTC.
  station = new Station({ shift: "short", speed: 4, historyDays: 10, hours: ["18:00", "23:00"] });
  await station.start();
  browser = await openBrowser();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});
const shown = (page) => page.waitForSelector("main h1");

for (const locale of ["en", "es"]) {
  for (const colorScheme of ["light", "dark"]) {
    test(`axe-core finds nothing serious on any page (${locale}, ${colorScheme})`, async () => {
      const context = await browser.newContext({ locale, colorScheme, bypassCSP: true });
      const page = await context.newPage();
      await page.goto(station.address);
      await page.waitForSelector("login-page");
      const found = await serious(page, "login");
      await logIn(page, station, "ines");
      assert.equal(await page.getAttribute("html", "lang"), locale);
      for (const path of paths) {
        await page.goto(station.address + path);
        await shown(page);
        found.push(...(await serious(page, path)));
      }
      assert.deepEqual(found, []);
    });
  }
}

async function serious(page, path) {
  await page.evaluate(axeSource);
  const { violations, passes } = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }));
  assert.ok(passes.length > 8, `${path}: axe-core looked at ${passes.length} rules only`);
  return violations.filter((one) => ["serious", "critical"].includes(one.impact)).map((one) => `${path}: ${one.id}: ${one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(" | ")}`);
}

test("no page is wider than its screen, in either language", async () => {
  const found = [];
  for (const locale of ["en", "es"]) {
    const page = await (await browser.newContext({ locale })).newPage();
    await logIn(page, station, "ines");
    for (const path of paths) {
      for (const width of widths) {
        await page.setViewportSize({ width, height: 900 });
        await page.goto(station.address + path);
        await shown(page);
        const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        if (over > 0) found.push(`${path} at ${width}, ${locale}: ${over} px`);
      }
    }
  }
  assert.deepEqual(found, []);
});

test("what a finger touches is 44 px high or more", async () => {
  const found = [];
  const page = await (await browser.newContext({ viewport: { width: 390, height: 844 } })).newPage();
  await logIn(page, station, "ines");
  for (const path of paths) {
    await page.goto(station.address + path);
    await shown(page);
    found.push(...(await page.evaluate((where) => [...document.querySelectorAll("button, select, input:not([type=checkbox]), nav a, a.button")].filter((one) => one.offsetParent && one.getBoundingClientRect().height < 43.5).map((one) => `${where}: ${one.outerHTML.slice(0, 120)}`), path)));
  }
  assert.deepEqual(found, []);
});

test("each page is gone through by the tab key with what has the focus in sight", async () => {
  const found = [];
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage();
  await logIn(page, station, "ines");
  for (const path of paths) {
    await page.goto(station.address + path);
    await shown(page);
    for (let n = 0; n < 25; ++n) {
      await page.keyboard.press("Tab");
      const lost = await page.evaluate(() => {
        const one = document.activeElement;
        if (!one || one === document.body) return null;
        const { left, top, right, bottom } = one.getBoundingClientRect();
        const ring = getComputedStyle(one);
        if (ring.outlineStyle === "none" || parseFloat(ring.outlineWidth) < 2) return `no ring: ${one.outerHTML.slice(0, 120)}`;
        // Somewhere between its corners it is the topmost thing.
        const points = [[(left + right) / 2, (top + bottom) / 2], [left + 4, top + 4], [right - 4, bottom - 4], [left + 4, Math.min(bottom, innerHeight) - 4]];
        const seen = points.some(([x, y]) => one.contains(document.elementFromPoint(x, y)));
        return seen ? null : `covered: ${one.outerHTML.slice(0, 120)}`;
      });
      if (lost) found.push(`${path}: ${lost}`);
    }
  }
  assert.deepEqual(found, []);
});

test("a shift stands in the calendar at the day on which it began at the station", async () => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "rosa");
  await page.goto(`${station.address}/shifts`);
  await shown(page);
  const told = await page.$$eval(".calendar .date a", (links) => links.map((link) => [link.parentElement.textContent.trim().match(/^\d+/)[0], link.getAttribute("aria-label").match(/[A-Z][a-z]{2} (\d+), \d{4}/)[1]]));
  assert.ok(told.length >= 5);
  for (const [cell, began] of told) assert.equal(cell, began);
});

test("the live page weighs 300 kB at most, compressed, in all", async () => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "rosa");
  const session = await page.context().newCDPSession(page);
  await session.send("Network.enable");
  await session.send("Network.setCacheDisabled", { cacheDisabled: true });
  let bytes = 0;
  session.on("Network.loadingFinished", (event) => (bytes += event.encodedDataLength));
  await page.goto(station.address);
  await page.waitForSelector(".share .of");
  assert.ok(bytes > 10_000 && bytes <= 300_000, `${bytes} bytes`);
});
