// How long a slow tablet waits for the live page's share: nothing in the cache, CPU four times slower, 1.5 Mbit/s, 40 ms.
// Not a test. Usage: QUIETPASS_BUILD=build/ci node tests/bench/first_useful.mjs [TIMES]
import { cpus, loadavg } from "node:os";
import { logIn, openBrowser, Station } from "../page/station.mjs";

const times = Number(process.argv[2] ?? 5);
const station = new Station({ shift: "short", speed: 2, historyDays: 2 });
await station.start();
const browser = await openBrowser();
try {
  const context = await browser.newContext({ viewport: { width: 820, height: 1180 } });
  const first = await context.newPage();
  await logIn(first, station, "rosa");
  await first.waitForSelector(".share .of");
  await first.close();
  for (let n = 0; n < times; ++n) {
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    await session.send("Network.enable");
    await session.send("Network.setCacheDisabled", { cacheDisabled: true });
    await session.send("Network.emulateNetworkConditions", { offline: false, latency: 40, downloadThroughput: 1.5e6 / 8, uploadThroughput: 0.75e6 / 8 });
    await session.send("Emulation.setCPUThrottlingRate", { rate: 4 });
    let bytes = 0;
    session.on("Network.loadingFinished", (event) => (bytes += event.encodedDataLength));
    await page.goto(station.address, { waitUntil: "commit" });
    const found = await page.waitForFunction(() => document.querySelector(".share .of") && performance.now(), null, { polling: "raf", timeout: 60_000 });
    const useful_ms = Math.round(await found.jsonValue());
    const { paint_ms, fetched } = await page.evaluate(() => ({
      paint_ms: Math.round(performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0),
      fetched: performance.getEntriesByType("resource").map((one) => `${new URL(one.name).pathname} ${Math.round(one.startTime)}-${Math.round(one.responseEnd)} ms ${one.encodedBodySize} B`),
    }));
    console.log(`useful after ${useful_ms} ms, first paint ${paint_ms} ms, ${bytes} bytes; load ${loadavg()[0].toFixed(1)} of ${cpus().length} cores`);
    if (n === times - 1) console.log(fetched.join("\n"));
    await page.close();
  }
} finally {
  await browser.close();
  await station.stop();
}
