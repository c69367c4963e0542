// What a welfare officer, a specialist and a manager do with a shift that was heard, in a real browser.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { answerOf, logIn, openBrowser, post, refusedByPolicy, Station, tree } from "./station.mjs";

let station;
let browser;
before(async () => {
  station = new Station({ shift: "short", speed: 4, historyDays: 12 });
  await station.start();
  browser = await openBrowser();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});
const as = async (name) => {
  const page = await (await browser.newContext()).newPage();
  await logIn(page, station, name);
  return page;
};
const passed = (page, n) => page.waitForFunction((wished) => document.querySelectorAll("passage-strip ol li").length >= wished, n, { timeout: 60_000 });

test("a call is found, its clip is heard, and it is judged by two keys", async () => {
  const page = await as("rosa");
  const refused = refusedByPolicy(page);
  await passed(page, 4);
  await page.waitForFunction(() => /[1-9]\d* of \d+ animals? cried out/.test(document.querySelector(".share .of")?.textContent ?? ""), null, { timeout: 60_000 });
  await page.click("nav.rail a[href='/calls']");
  // The clip follows some seconds after its call.
  await answerOf(page, "/calls?counted=1&most=1", ({ calls: [call] }) => call?.clip_id);
  await page.goto(`${station.address}/calls?counted=1`);
  await page.locator("calls-page tbody a").first().click();
  await page.waitForSelector("clip-player img");
  await page.waitForFunction(() => document.querySelector("clip-player img").naturalWidth > 0);
  await page.waitForSelector("clip-player .wave > div");
  assert.equal(await page.locator("[data-at]").getAttribute("data-at"), "0.000");
  await page.click("[data-play]");
  await page.waitForFunction(() => Number(document.querySelector("[data-at]").dataset.at) > 0.2, null, { timeout: 20_000 });
  assert.ok((await page.locator("call-desk .reasons li").count()) >= 2, "why it was taken for a call is told");
  await page.locator("h1").click();
  await page.keyboard.press("2");
  await page.waitForSelector("[data-verdict=not_a_call][aria-pressed=true]");
  const before = page.url();
  await page.keyboard.press("n");
  await page.waitForFunction((was) => location.href !== was, before);
  assert.deepEqual(refused, [], "the waveform's style is the one that the policy names");
  await page.goto(`${station.address}/calls?judged=1`);
  await page.waitForSelector("calls-page tbody .tag:has-text('Not a call')");
});

test("twenty animals are scored by hand beside the machine, and kappa is read", async () => {
  const page = await as("rosa");
  await page.goto(`${station.address}/audit`);
  await page.click("audit-page button.main");
  await page.waitForSelector("audit-page .two-big");
  // Animals of the history, as a slow line would bring them: posted as the tablet does, then one by its button.
  await page.evaluate(async () => {
    const token = (await (await fetch("/api/v1/session")).json()).token;
    const { audits } = await (await fetch("/api/v1/handaudits")).json();
    const { shifts } = await (await fetch("/api/v1/shifts?most=1000")).json();
    const first = shifts.reverse().find((shift) => shift.scored >= 20); // its animals have the numbers from 1
    for (let n = 1; n <= 19; ++n) {
      const kept = await fetch(`/api/v1/handaudits/${audits[0].audit_id}/scores`, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Quietpass-Token": token },
        body: JSON.stringify({ id: `score-number-${n}`, vocal: n === 3, shift_id: first.shift_id, passage_id: n }),
      });
      if (kept.status !== 201) throw new Error(`score ${n}: ${kept.status} ${await kept.text()}`);
    }
  });
  await page.reload();
  await page.waitForSelector("[data-scored='19']");
  await page.waitForSelector("audit-page [data-animal]:not([data-animal=''])");
  await page.click("audit-page button.silent");
  await page.waitForSelector("[data-scored='20']");
  assert.ok(await page.locator("audit-page button.silent").isDisabled(), "one animal is scored once");
  await page.click("[data-finish]");
  await page.waitForSelector("[data-compared]");
  await page.waitForSelector("[data-measure=kappa]");
  assert.match(await page.locator("[data-measure=kappa]").innerText(), /^(–|-?[01]\.\d\d)/);
  assert.match(await page.locator("[data-compared] h2").innerText(), /\d+ animals/);
});

test("a change is entered, and before and after are read with their intervals", async () => {
  const page = await as("max");
  await page.goto(`${station.address}/changes`);
  const days = (n) => new Date(Date.now() - n * 86_400_000).toISOString().slice(0, 16);
  await page.fill("changes-page textarea[name=what]", "solid side panel at the box entrance");
  await page.fill("changes-page input[name=at]", days(6));
  await page.click("changes-page form button.main");
  await page.waitForSelector("change-page [data-side=after]");
  for (const side of ["before", "after"]) {
    assert.match(await page.locator(`[data-side=${side}]`).innerText(), /\d+ of [\d,]+ animals cried out/);
  }
  assert.match(await page.locator("[data-shown]").innerText(), /animals|difference/i);
  await page.waitForSelector("change-page run-chart canvas");
  assert.equal(await page.locator("change-page .chart-marks li").count(), 1, "the change is marked on the chart by a number, and said below it");
  assert.match(await page.locator("change-page .sheet ul.reasons").innerText(), /chance/i);
});

test("a case is opened, filled, exported and verified", async () => {
  const page = await as("max");
  await page.goto(`${station.address}/cases`);
  await page.fill("cases-page input[name=reference]", "2026-17");
  await page.fill("cases-page input[name=asked_by]", "a neighbour of the scenario");
  await page.click("cases-page form button.main");
  await page.waitForSelector("case-page [data-inside]");
  const shift = await page.evaluate(async () => (await (await fetch("/api/v1/shifts?most=1000")).json()).shifts.reverse().find((one) => one.passages > 3).shift_id);
  await page.fill("case-page input[name=shift]", String(shift));
  await page.fill("case-page input[name=passages]", "1, 2, 3");
  await page.click("case-page form.fields button.main");
  await page.waitForSelector("[data-inside]:has-text('3 passages')");
  await page.fill("case-page textarea[name=text]", "the records show no call");
  await page.click("case-page button[value=decision]");
  await page.waitForSelector("case-page .caution:has-text('the records show no call')");
  await page.click("[data-export]");
  await page.waitForSelector("[data-export-state=done]", { timeout: 60_000 });
  const [download] = await Promise.all([page.waitForEvent("download"), page.click("[data-export-state=done] a.button")]);
  assert.match(download.suggestedFilename(), /\.zip$/);
  await page.click("[data-verify]");
  await page.waitForSelector("[data-fits=true]", { timeout: 60_000 });
});

test("a reviewer sees cases but can't open one; a station's contacts show what is closed", async () => {
  const reviewer = await as("rosa");
  await reviewer.goto(`${station.address}/cases`);
  await reviewer.waitForSelector("cases-page h1");
  assert.equal(await reviewer.locator("cases-page form").count(), 0);
  const page = await as("ines");
  await page.goto(`${station.address}/station`);
  await page.waitForSelector("[data-contact=entered]");
  assert.match(await page.locator("[data-contact=entered]").innerText(), /open|closed/);
  assert.equal(await page.locator("[data-contact]").count(), 7);
});

test("before and after stand on one ruler, each with its interval in words and how many were scored", async () => {
  const page = await as("max");
  const days = (n) => new Date(Date.now() - n * 86_400_000).toISOString();
  const { entry_id } = await post(page, "/changes", { what: "a quieter gate", at: days(4) });
  await page.goto(`${station.address}/changes/${entry_id}`);
  await page.selectOption("select[name=span]", "200"); // the shares of so few have wide intervals
  await page.waitForSelector("[data-side=after] svg[data-end]");
  const ends = await page.$$eval("[data-side] svg.ruler", (rulers) => rulers.map((one) => one.dataset.end));
  assert.equal(ends.length, 2);
  assert.equal(ends[0], ends[1]);
  const told = await page.evaluate(async (id) => (await fetch(`/api/v1/changes/${id}/comparison?before=200&after=200`)).json(), entry_id);
  assert.ok(Number(ends[0]) >= Math.max(told.before_percent_high, told.after_percent_high));
  for (const side of ["before", "after"]) {
    const words = await page.locator(`[data-side=${side}]`).innerText();
    assert.match(words, /95 % sure that it is between [\d.]+\s% and [\d.]+\s%/);
    assert.match(words, new RegExp(`${told.coverage[side].scored} of ${told.coverage[side].passages} passages scored`));
  }
  await page.goto(`${station.address}/factors`);
  await page.waitForSelector("factors-page [data-coverage]");
  assert.match(await page.locator("factors-page [data-coverage]").innerText(), /[\d,]+ of [\d,]+ passages scored/);
});

test("too long a time is refused in words with what to do, and another can be chosen", async () => {
  const source = readFileSync(join(tree, "daemon/web/api_figures.cpp"), "utf8");
  const [what, choose, rest] = ["passages, too many at once", "choose a shorter time, with at most ", " passages in it; the commands have no such limit"];
  for (const part of [what, choose, rest]) assert.ok(source.includes(part), part);
  const context = await browser.newContext({ locale: "es" });
  const page = await context.newPage();
  await logIn(page, station, "max");
  const { entry_id } = await post(page, "/changes", { what: "a lamp", at: new Date(Date.now() - 2 * 86_400_000).toISOString() });
  const refusal = { error: { what: `these are 124651 ${what}`, where: "from", do: `${choose}100000${rest}` } };
  const refused = (route) => route.fulfill({ status: 400, json: refusal });
  await page.route(/factors\?|comparison\?before=28d/, refused);
  await page.goto(`${station.address}/factors`);
  await page.waitForSelector("factors-page .trouble");
  assert.match(await page.locator("factors-page .trouble").innerText(), /son 124.651 pasos, demasiados a la vez: elija un tiempo más corto, con 100.000 pasos como máximo/);
  assert.equal(await page.locator("factors-page table").count(), 0, "no figures of another time stand below it");
  await page.unroute(/factors\?|comparison\?before=28d/, refused);
  await page.selectOption("factors-page select", "1");
  await page.waitForSelector("factors-page [data-coverage]");
  await page.route(/comparison\?before=28d/, refused);
  await page.goto(`${station.address}/changes/${entry_id}`);
  await page.selectOption("select[name=span]", "28d");
  await page.waitForSelector("change-page .trouble");
  assert.equal(await page.locator("[data-side]").count(), 0);
  await page.selectOption("select[name=span]", "1d");
  await page.waitForSelector("[data-side=after]");
  assert.equal(await page.locator("change-page .trouble").count(), 0);
});
