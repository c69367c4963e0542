// The run chart of shifts: by pointer, by keys, in words; loaded where it is drawn and nowhere else.
import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { logIn, openBrowser, refusedByPolicy, Station } from "./station.mjs";

const days = 30;
let station;
let browser;
let page;
before(async () => {
  station = new Station({ shift: "short", speed: 1, historyDays: days });
  await station.start();
  browser = await openBrowser();
  page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
});
after(async () => {
  await browser?.close();
  await station?.stop();
});
const slider = () => page.locator(".plot[role=slider]");
const at = async () => Number(await slider().getAttribute("aria-valuenow"));
const zoomed = (is) => page.waitForSelector(`.plot[data-zoomed=${is}]`);

test("what draws the chart is not loaded with the live page, and is with the shifts", async () => {
  const drawers = [];
  page.on("response", async (response) => {
    if (/\.js$/.test(response.url()) && /u-over/.test(await response.text().catch(() => ""))) drawers.push(response.url());
  });
  await logIn(page, station, "max");
  await page.waitForSelector("live-page .share");
  await page.waitForLoadState("networkidle").catch(() => {});
  assert.deepEqual(drawers, []);
  await page.click("nav.rail a[href='/shifts']");
  await page.waitForSelector("run-chart .plot canvas");
  assert.equal(drawers.length, 1);
});

test("keys go from shift to shift, look closer, show all again and open the shift", async () => {
  const refused = refusedByPolicy(page);
  await page.goto(`${station.address}/shifts`);
  await page.waitForSelector("run-chart .plot canvas");
  const n = Number(await slider().getAttribute("aria-valuemax"));
  assert.ok(n >= days - 1, `${n} shifts are charted`);
  await slider().focus();
  await page.keyboard.press("End");
  assert.equal(await at(), n);
  await page.keyboard.press("ArrowLeft");
  assert.equal(await at(), n - 1);
  assert.match(await slider().getAttribute("aria-valuetext"), /%.*of \d+ animals cried out.*95 % interval/);
  await page.waitForSelector(".chart-tip:visible");
  await page.keyboard.press("+");
  await zoomed(true);
  await page.keyboard.press("Home");
  assert.equal(await at(), 1);
  await page.waitForSelector(".chart-tip:visible"); // what is looked at follows
  await page.keyboard.press("0");
  await zoomed(false);
  const told = await page.locator("a.chart-open").getAttribute("href");
  await page.keyboard.press("Enter");
  await page.waitForSelector("shift-page");
  assert.equal(new URL(page.url()).pathname, told);
  assert.deepEqual(refused, [], "nothing of the chart breaks the page's policy");
});

test("a drag looks closer, a button shows all again, a click opens the shift under the pointer", async () => {
  await page.goto(`${station.address}/shifts`);
  await page.waitForSelector("run-chart .plot canvas");
  await page.locator(".plot").scrollIntoViewIfNeeded();
  const { x, y, width, height } = await page.locator(".plot .u-over").boundingBox();
  await page.mouse.move(x + width * 0.3, y + height / 2);
  await page.mouse.down();
  await page.mouse.move(x + width * 0.6, y + height / 2, { steps: 5 });
  await page.mouse.up();
  await zoomed(true);
  assert.ok(page.url().endsWith("/shifts"), "the end of a drag opens nothing");
  await page.click("[data-all]");
  await zoomed(false);
  await page.mouse.move(x + width * 0.5, y + height / 2);
  await page.waitForSelector(".chart-tip:visible");
  const told = await page.locator("a.chart-open").getAttribute("href");
  await page.mouse.click(x + width * 0.5, y + height / 2);
  await page.waitForSelector("shift-page");
  assert.equal(new URL(page.url()).pathname, told);
});

test("the chart's figures stand below it as a table", async () => {
  await page.goto(`${station.address}/shifts`);
  await page.waitForSelector("run-chart .plot canvas");
  await page.click("run-chart details summary");
  const n = Number(await slider().getAttribute("aria-valuemax"));
  assert.equal(await page.locator("run-chart details tbody tr").count(), n);
  assert.match(await page.locator("run-chart details tbody tr").first().innerText(), /\d %/);
});
