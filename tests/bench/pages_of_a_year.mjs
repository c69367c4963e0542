// How long each page takes to show its content over a folder of records, as after a year: median of three, browser's
// cache warm. Not a test. The daemon runs on the folder and people are added to it: give a copy.
// Usage: QUIETPASS_BUILD=build/ci node tests/bench/pages_of_a_year.mjs RECORDS_FOLDER
import { existsSync, statSync } from "node:fs";
import { cpus, loadavg } from "node:os";
import { join, resolve } from "node:path";
import { logIn, openBrowser, Station } from "../page/station.mjs";

const times = 3;
const wished_ms = 1000;
const folder = process.argv[2] && resolve(process.argv[2]);
if (!folder || !existsSync(join(folder, "records.db"))) {
  console.error(`pages_of_a_year: ${folder ?? "no folder"}: no records.db there; give a folder that the daemon wrote or history-builder made`);
  process.exit(2);
}

const station = new Station({ shift: "short", speed: 1, records: folder });
await station.start();
const browser = await openBrowser();
try {
  const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage();
  await logIn(page, station, "ines");
  const { shift, call, change, until } = await page.evaluate(somethingOfEach);
  // A history may have ended long ago: "the last 30 days" are those before its end.
  await page.addInitScript((ago_ms) => {
    const now = Date.now;
    Date.now = () => now() - ago_ms;
  }, Math.max(0, Date.now() - Date.parse(until)));
  /** Address, and what is there once its content is. */
  const pages = [
    ["/", ".share .of"],
    ["/shifts", ".calendar .date a, shifts-page table tbody tr"],
    [`/shifts/${shift}`, "shift-page dl.facts"],
    ["/calls", "calls-page tbody tr"],
    ...(call ? [[`/calls/${call.shift_id}/${call.call_id}`, "call-desk .reasons li"]] : []),
    ["/factors", "factors-page details.group"],
    ["/changes", "changes-page .reasons, changes-page .empty"],
    ...(change ? [[`/changes/${change}`, "change-page [data-side=after]"]] : []),
    ["/lots", "lots-page .reasons, lots-page .empty"],
    ["/audit", "audit-page button.main"],
    ["/cases", "cases-page ul"],
    ["/station", "station-page .settings tr"],
  ];
  console.log(`records: ${(statSync(join(folder, "records.db")).size / 1e9).toFixed(2)} GB; load ${loadavg()[0].toFixed(1)} of ${cpus().length} cores`);
  console.log("page                       median ms   each");
  for (const [path, content] of pages) {
    const each = [];
    try {
      await shown(page, path, content); // its script is in the cache from here on
      for (let n = 0; n < times; ++n) each.push(await shown(page, path, content));
    } catch (error) {
      console.log(`${path.padEnd(26)}         –   ${String(error.message).split("\n")[0]}`);
      continue;
    }
    const median = [...each].sort((a, b) => a - b)[Math.floor(times / 2)];
    console.log(`${path.padEnd(26)} ${String(median).padStart(9)}   ${each.join(" ")}${median > wished_ms ? `   over ${wished_ms}` : ""}`);
  }
  console.log(`load ${loadavg()[0].toFixed(1)} at the end`);
} finally {
  await browser.close();
  await station.stop();
}

/** Milliseconds from the navigation's start to the first picture with the content in it. */
async function shown(page, path, content) {
  await page.goto(station.address + path, { waitUntil: "commit" });
  const isThere = (wished) => {
    const main = document.querySelector("main");
    if (main?.querySelector(".trouble")) return main.innerText.slice(0, 200);
    return document.querySelector(wished) && !main.querySelector("[aria-busy=true]") && performance.now();
  };
  const found = await (await page.waitForFunction(isThere, content, { timeout: 60_000, polling: "raf" })).jsonValue();
  if (typeof found === "string") throw new Error(`${path} says: ${found}`);
  return Math.round(found);
}

async function somethingOfEach() {
  const get = async (path) => (await fetch(`/api/v1${path}`)).json();
  const { shifts } = await get("/shifts?most=50");
  const { calls } = await get("/calls?most=1");
  const { changes } = await get("/changes");
  const last = shifts.find((one) => one.state === "closed" && one.passages > 100) ?? shifts[0];
  return { shift: last.shift_id, call: calls[0], change: changes[0]?.entry_id, until: last.end ?? new Date().toISOString() };
}
