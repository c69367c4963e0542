// Every page, in both languages, light and dark, from a phone to a wall: nothing overflows, and nothing that axe-core
// knows keeps people out. The first page is light and quick.
import assert from "node:assert/strict";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, afterEach, before, test } from "node:test";
import { answerOf, axeSource, logIn, openBrowser, post, Station, tree } from "./station.mjs";

// What is one of many (a call, a change, a case) is added once it is there.
const paths = ["/", "/shifts", "/shifts/1", "/calls", "/factors", "/changes", "/lots", "/audit", "/cases", "/station", "/nowhere"];
const widths = [390, 820, 1280, 3840];
let station;
let browser;
before(async () => {
  // In the evening of the station's zone it is the next day by UTC.
  station = new Station({ shift: "short", speed: 4, historyDays: 10, hours: ["18:00", "23:00"] });
  const shipped = readFileSync(join(tree, "classifiers/profiles/cattle.toml"), "utf8");
  mkdirSync(join(station.out, "profiles"), { recursive: true });
  writeFileSync(join(station.out, "profiles/second.toml"), shipped.replace(/^name = .*$/m, 'name = "second hall"').replaceAll(/\+0\.(\d)/g, "+0.1$1"));
  await station.start();
  browser = await openBrowser();
  await addOneOfEach();
});
// The station takes 64 connections from one address: pages that stay open use them up, and the next stays empty.
afterEach(async () => {
  for (const context of browser.contexts()) await context.close();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});
const shown = (page) => page.waitForSelector("main h1");

/** A call that was heard, a change and a case, each with a place of its own. */
async function addOneOfEach() {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, "ines");
  const { calls: [{ shift_id, call_id }] } = await answerOf(page, "/calls?most=1", ({ calls }) => calls.length > 0);
  const at = new Date(Date.now() - 5 * 86_400_000).toISOString();
  const change = await post(page, "/changes", { what: "solid side panels at the box entrance, both sides", at });
  const opened = await post(page, "/cases", { reference: "2026-17", asked_by: "a neighbour of the scenario" });
  const past = await page.evaluate(async () => (await (await fetch("/api/v1/shifts?most=100")).json()).shifts.findLast((one) => one.passages > 3).shift_id);
  await post(page, `/cases/${opened.case_id}/gather`, { shift_id: past, passage_ids: [1, 2, 3] });
  paths.push(`/calls/${shift_id}/${call_id}`, `/changes/${change.entry_id}`, `/cases/${opened.case_id}`);
  await page.context().close();
}

/** The page as it is when everything that can be unfolded is. */
async function unfolded(page, path) {
  await shown(page);
  await page.waitForFunction(() => !document.querySelector("main [aria-busy=true]"));
  if (path === "/station") {
    await page.locator("station-page li.entry", { hasText: "second hall" }).locator("button").last().click();
    await page.waitForSelector("station-page [data-differences]");
  }
  await page.evaluate(() => document.querySelectorAll("details").forEach((one) => (one.open = true)));
}

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
        await unfolded(page, path);
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

/** What reaches past the edge of the sheet, cell or screen that it stands in, and isn't within something that scrolls. */
function sticksOut() {
  const root = document.documentElement;
  const found = root.scrollWidth > root.clientWidth ? [`${root.scrollWidth - root.clientWidth} px over the screen`] : [];
  const scrolls = (one) => ["auto", "scroll", "hidden"].includes(getComputedStyle(one).overflowX);
  for (const frame of document.querySelectorAll("main .sheet, .calendar .date, table.setting-lines, table.two-line")) {
    const { right } = frame.getBoundingClientRect();
    for (const one of frame.querySelectorAll("*")) {
      let over = one.getBoundingClientRect().right - right;
      for (let up = one.parentElement; over > 1 && up !== frame; up = up.parentElement) if (scrolls(up)) over = 0;
      if (over > 1 && one.offsetParent) found.push(`${Math.round(over)} px over its ${frame.className || frame.tagName}: ${one.outerHTML.slice(0, 90)}`);
    }
  }
  return found.slice(0, 3);
}

for (const locale of ["en", "es"]) {
  test(`no page is wider than its screen and nothing stands outside its sheet, all of it unfolded (${locale})`, async () => {
    const found = [];
    const page = await (await browser.newContext({ locale })).newPage();
    await logIn(page, station, "ines");
    for (const path of paths) {
      for (const width of widths) {
        await page.setViewportSize({ width, height: 900 });
        await page.goto(station.address + path);
        await unfolded(page, path);
        found.push(...(await page.evaluate(sticksOut)).map((what) => `${path} at ${width}: ${what}`));
      }
    }
    assert.deepEqual(found, []);
  });
}

test("a phone reads settings and circumstances without scrolling sideways, and counts stay on a line", async () => {
  for (const locale of ["en", "es"]) {
    const page = await (await browser.newContext({ locale, viewport: { width: 390, height: 844 } })).newPage();
    await logIn(page, station, "ines");
    for (const path of ["/station", "/factors"]) {
      await page.goto(station.address + path);
      await unfolded(page, path);
      const found = await page.evaluate(() => {
        const tables = [...document.querySelectorAll("table.setting-lines, table.two-line")];
        const wide = tables.filter((table) => table.parentElement.scrollWidth > table.parentElement.clientWidth + 1);
        const tops = (text) => {
          const range = document.createRange();
          range.selectNodeContents(text);
          return [...range.getClientRects()].map(({ top }) => Math.round(top));
        };
        const words = (one) => [...one.childNodes].filter((node) => node.nodeType === Node.TEXT_NODE && node.data.trim());
        const figures = [...document.querySelectorAll("table.two-line td.num > .small")];
        const counts = figures.filter((one) => new Set(words(one).flatMap(tops)).size > 1); // p has a line of its own
        return { tables: tables.length, wide: wide.length, counts: counts.map((one) => one.textContent) };
      });
      assert.ok(found.tables >= 2, `${path}: ${found.tables} tables`);
      assert.deepEqual([found.wide, found.counts], [0, []], `${path}, ${locale}`);
    }
  }
});

test("a shift over its limit stands within its day of the calendar, however large its share", async () => {
  for (const locale of ["en", "es"]) {
    const page = await (await browser.newContext({ locale })).newPage();
    await logIn(page, station, "ines");
    await page.route("**/api/v1/shifts?*", async (route) => {
      const answer = await route.fetch();
      const { shifts } = await answer.json();
      const large = shifts.map((shift, i) => ({ ...shift, percent: [10.4, 88.8, 100][i % 3], verdict: "over_limit", state: i % 4 ? "closed" : "open" }));
      return route.fulfill({ response: answer, json: { shifts: large } });
    });
    for (const width of [390, 820, 1280]) {
      await page.setViewportSize({ width, height: 900 });
      await page.goto(`${station.address}/shifts`);
      await page.waitForSelector(".calendar a.over");
      assert.deepEqual(await page.evaluate(sticksOut), [], `${width}, ${locale}`);
      const spill = await page.$$eval(".calendar .date", (dates) => dates.filter((one) => one.scrollWidth > one.clientWidth).map((one) => one.textContent));
      assert.deepEqual(spill, [], `${width}, ${locale}`);
    }
  }
});

test("a rail that goes on past the edge of a phone is shaded there, and wraps on a tablet", async () => {
  const page = await (await browser.newContext({ viewport: { width: 390, height: 844 } })).newPage();
  await logIn(page, station, "ines");
  const rail = page.locator("nav.rail");
  assert.ok(await rail.evaluate((one) => one.scrollWidth > one.clientWidth));
  assert.match(await rail.evaluate((one) => getComputedStyle(one).backgroundAttachment), /local.*scroll/);
  await page.setViewportSize({ width: 820, height: 1180 });
  assert.ok(await rail.evaluate((one) => one.scrollWidth <= one.clientWidth));
});

test("four alarms on the wall leave the strip in sight", async () => {
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 }, bypassCSP: true })).newPage();
  const alarms = ["call_after_stun", "hold_too_long", "microphone_fault", "contacts_lost"].map((cause, i) => ({
    alarm: 900 + i, state: "raised", cause, source: "", severity: i < 2 ? "at_once" : "soon", count: 1, passage_id: null, call_id: null,
    raised: new Date().toISOString(), last_change: new Date().toISOString(), acknowledged_by: null, what: "Microphone head has been silent for 40 s.",
  }));
  await page.route("**/api/v1/live", async (route) => {
    if (route.request().resourceType() === "websocket") return route.continue();
    const answer = await route.fetch();
    return route.fulfill({ response: answer, json: { ...(await answer.json()), alarms } });
  });
  await page.routeWebSocket(/api\/v1\/live/, (socket) => {
    const server = socket.connectToServer();
    server.onMessage((text) => {
      const told = JSON.parse(text);
      socket.send(told.kind === "hello" ? JSON.stringify({ ...told, alarms }) : text);
    });
  });
  await logIn(page, station, "screen");
  await page.waitForFunction(() => document.querySelectorAll("section.alarm").length === 4);
  await page.waitForSelector(".so-far svg.ruler", { timeout: 60_000 }); // an animal was scored
  const of = (what) => page.locator(what).boundingBox();
  const [share, inside, strip] = [await of(".so-far"), await of(".so-far .share"), await of(".passages")];
  assert.ok(share.y + share.height - inside.y - inside.height < 100, "the share is no longer than what it says");
  assert.ok(strip.y < 700, `the strip begins at ${strip.y} px`);
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
