// How much of a core the whole daemon takes while many listen to its live page at real time, and whether the
// microphone lost anything. Prints figures, judges nothing.
// Usage: QUIETPASS_BUILD=DIR node tests/bench/live_clients.mjs [CLIENTS, 200] [SECONDS, 60]
import { readdirSync, readFileSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { people, Station } from "../page/station.mjs";

const clients = Number(process.argv[2] ?? 200);
const seconds = Number(process.argv[3] ?? 60);
const ticks = 100; // of the system's clock a second, as Linux tells user space

const processorSeconds = (pid) => {
  const fields = readFileSync(`/proc/${pid}/stat`, "utf8").replace(/^.*\) /, "").split(" ");
  return (Number(fields[11]) + Number(fields[12])) / ticks;
};
const residentMb = (pid) => Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))[1]) / 1024;
const wait = (s) => new Promise((done) => setTimeout(done, 1000 * s));

async function cookieOf(station, name) {
  const answer = await fetch(`${station.address}/api/v1/login`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ name, password: people[name].password }),
  });
  if (answer.status !== 200) throw new Error(`login: ${answer.status}`);
  return answer.headers.get("set-cookie").split(";")[0];
}

/** A live client that reads all and answers nothing. */
function listen(station, cookie) {
  const { hostname, port } = new URL(station.address);
  const client = { bytes: 0, first: 0, open: true };
  client.socket = connect(Number(port), hostname, () =>
    client.socket.write(
      `GET /api/v1/live HTTP/1.1\r\nHost: ${hostname}:${port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\nCookie: ${cookie}\r\n\r\n`,
    ),
  );
  client.socket.on("data", (piece) => (client.bytes += piece.length));
  client.socket.on("close", () => (client.open = false));
  client.socket.on("error", () => {});
  return client;
}

async function measure(station, count) {
  const cookie = count > 0 ? await cookieOf(station, "screen") : "";
  const all = Array.from({ length: count }, () => listen(station, cookie));
  await wait(3);
  const from = processorSeconds(station.daemon.pid);
  const began = performance.now();
  await wait(seconds);
  const share = (100 * (processorSeconds(station.daemon.pid) - from)) / ((performance.now() - began) / 1000);
  const open = all.filter((client) => client.open).length;
  const kb = all.reduce((sum, client) => sum + client.bytes, 0) / Math.max(1, count) / 1024;
  for (const client of all) client.socket.destroy();
  return { share, open, kb, mb: residentMb(station.daemon.pid) };
}

const station = new Station({ shift: "demo", speed: 1, page: "connections_per_address = 1000\nconnections = 1000\n" });
try {
  await station.start();
  await wait(5);
  for (const count of [0, clients]) {
    const { share, open, kb, mb } = await measure(station, count);
    console.log(`${count} live clients: the daemon takes ${share.toFixed(1)} % of a core, ${mb.toFixed(0)} MB; ${open} still listen, ${kb.toFixed(0)} kB each in ${seconds} s`);
  }
  const gone = new Promise((done) => station.daemon.once("exit", done));
  station.daemon.kill();
  await gone;
  const shifts = join(station.out, "shifts");
  const files = readdirSync(shifts, { recursive: true }).filter((file) => String(file).endsWith("shift.json"));
  for (const file of files) {
    const { coverage, microphones } = JSON.parse(readFileSync(join(shifts, String(file)), "utf8"));
    console.log(`${file}: ${JSON.stringify({ coverage, not_heard_s: microphones.map((one) => one.not_heard_s) })}`);
  }
  console.log(station.log.split("\n").filter((line) => /lost|sound/.test(line)).join("\n") || "no line of the log tells of lost sound");
} finally {
  await station.stop();
}
