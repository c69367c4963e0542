// A real daemon for the browser tests: it plays a made shift as a microphone and as contacts, over invented history.
// QUIETPASS_BUILD names the build folder; QUIETPASS_PAGE the page's, where it is not that build's.
import { spawn, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const tree = join(dirname(fileURLToPath(import.meta.url)), "../..");
const build = process.env.QUIETPASS_BUILD ?? join(tree, "build/ci");
const quietpass = join(build, "quietpass");
const libraries = createRequire(join(tree, "daemon/web/ui/package.json"));
export const { chromium } = libraries("playwright-core");
export const axeSource = readFileSync(libraries.resolve("axe-core/axe.min.js"), "utf8");

export const people = {
  screen: { role: "wall", password: "calm doors and even light" },
  rosa: { role: "reviewer", password: "listen twice, judge once" },
  max: { role: "manager", password: "steady floors under hooves" },
  ines: { role: "administrator", password: "quiet gates make good work" },
};

/** Resolves with the first of the process's lines that fits; rejects when it ends before. */
function lineOf(child, stream, pattern) {
  return new Promise((resolve, reject) => {
    let text = "";
    stream.on("data", (piece) => {
      text += piece;
      const found = pattern.exec(text);
      if (found) resolve(found);
    });
    child.once("exit", (code) => reject(new Error(`ended with ${code} before ${pattern}: ${text.slice(-2000)}`)));
  });
}

function run(program, options, input = "") {
  const done = spawnSync(program, options, { input, encoding: "utf8", cwd: tree, timeout: 120_000 });
  if (done.status !== 0) throw new Error(`${program} ${options.join(" ")}: ${done.status} ${done.stderr}${done.error ?? ""}`);
  return done.stdout;
}

export class Station {
  /** shift: of build/…/shifts. speed: times real time. historyDays: of closed shifts before it, from hours[0] to hours[1].
   * records: a folder that has them already, in place of a new one. edit: what is altered in the station file. */
  constructor({ shift = "short", speed = 4, historyDays = 0, hours = ["06:00", "14:00"], page = "", records = "", edit = (text) => text } = {}) {
    this.folder = mkdtempSync(join(tmpdir(), "quietpass-page-"));
    this.out = records || join(this.folder, "run");
    this.shift = join(build, "shifts", shift);
    this.speed = speed;
    this.page = page;
    this.edit = edit;
    mkdirSync(this.out, { recursive: true });
    if (historyDays > 0) this.addHistory(historyDays, hours);
    const known = existsSync(join(this.out, "users.db")); // of an earlier run on these records
    for (const [name, { role, password }] of known ? [] : Object.entries(people)) {
      run(quietpass, ["users", "add", name, "--role", role, "--out", this.out], `${password}\n`);
    }
  }

  addHistory(days, hours) {
    const plan = join(this.folder, "plan.toml");
    const station = readFileSync(join(tree, "testdata/demo/station.toml"), "utf8");
    writeFileSync(plan, `${station}\n[[shift]]\nname = "day"\nstart = "${hours[0]}"\nend = "${hours[1]}"\n`);
    const first = new Date(Date.now() - (days + 1) * 86_400_000).toISOString().slice(0, 10);
    run(join(build, "history-builder"), [plan, "--out", this.out, "--first", `${first}T12:00:00Z`, "--days", String(days), "--per-hour", "40", "--vocal", "0.03", "--without-edges"]);
  }

  async start() {
    const startedFile = join(this.folder, "started");
    const conf = join(this.folder, "asound.conf");
    run(join(tree, "tests/capture/make_asound_conf"), ["--plugin", join(build, "libquietpass_test_microphone.so"), "--wav", join(this.shift, "audio.wav"), "--speed", String(this.speed), "--started-file", startedFile, "--out", conf]);
    const stationFile = join(tree, "testdata/demo/station.toml");
    this.contacts = spawn(join(build, "modbus-contacts"), ["--station", stationFile, "--contacts", join(this.shift, "contacts.csv"), "--port", "0", "--started-file", startedFile, "--linger", "600"]);
    const [, port] = await lineOf(this.contacts, this.contacts.stdout, /127\.0\.0\.1:(\d+)/);
    const text = readFileSync(stationFile, "utf8").replaceAll(/127\.0\.0\.1:\d+/g, `127.0.0.1:${port}`);
    this.stationFile = join(this.folder, "station.toml");
    writeFileSync(this.stationFile, `${this.edit(text)}\n[page]\nport = 0\n${this.page}`);
    this.daemon = spawn(quietpass, ["run", "--station", this.stationFile, "--out", this.out, "--speed", String(this.speed)], {
      env: { ...process.env, ALSA_CONFIG_PATH: conf, JACK_NO_START_SERVER: "1", QUIETPASS_PROFILES: join(tree, "classifiers/profiles"), QUIETPASS_PAGE: process.env.QUIETPASS_PAGE ?? join(build, "page") },
    });
    this.log = "";
    this.daemon.stdout.on("data", (piece) => (this.log += piece));
    this.daemon.stderr.on("data", (piece) => (this.log += piece));
    const [, address] = await lineOf(this.daemon, this.daemon.stderr, /page: (http\S+)/);
    this.address = address.replace(/\/$/, "");
  }

  /** The page after a reload: on any free port, which is another one. */
  async servedAnew() {
    const [, address] = await lineOf(this.daemon, this.daemon.stderr, /page: (http\S+)/);
    this.address = address.replace(/\/$/, "");
  }

  async stop() {
    for (const child of [this.daemon, this.contacts]) {
      if (!child || child.exitCode !== null || child.signalCode) continue;
      const gone = new Promise((resolve) => child.once("exit", resolve));
      child.kill();
      await gone;
    }
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** A part of the page by itself, as a test in Node takes it: what it exports. */
export async function builtModule(path) {
  const { buildSync } = libraries("esbuild");
  const built = buildSync({ entryPoints: [join(tree, "daemon/web/ui/src", path)], bundle: true, format: "esm", write: false });
  return import(`data:text/javascript;base64,${Buffer.from(built.outputFiles[0].contents).toString("base64")}`);
}

/** Sends as the page does, with its session's token, and gives the answer. */
export async function post(page, path, body) {
  const { status, answer } = await page.evaluate(
    async ([path, body]) => {
      const { token } = await (await fetch("/api/v1/session")).json();
      const sent = { method: "POST", headers: { "Content-Type": "application/json", "X-Quietpass-Token": token }, body: JSON.stringify(body) };
      const response = await fetch(`/api/v1${path}`, sent);
      return { status: response.status, answer: await response.json() };
    },
    [path, body],
  );
  if (status >= 300) throw new Error(`${path}: ${status} ${JSON.stringify(answer)}`);
  return answer;
}

/** What the station answers the page at path, asked until it is as wished: waitForFunction doesn't await a promise. */
export async function answerOf(page, path, wished, timeout_ms = 60_000) {
  const latest = Date.now() + timeout_ms;
  for (;;) {
    const answer = await page.evaluate(async (path) => (await fetch(`/api/v1${path}`)).json(), path);
    if (wished(answer)) return answer;
    if (Date.now() > latest) throw new Error(`${path} after ${timeout_ms} ms still: ${JSON.stringify(answer).slice(0, 500)}`);
    await new Promise((again) => setTimeout(again, 200));
  }
}

/** A fresh browser with nothing kept from another test. */
export function openBrowser() {
  return chromium.launch({
    executablePath: process.env.QUIETPASS_CHROMIUM ?? "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--autoplay-policy=no-user-gesture-required", "--disable-gpu"],
  });
}

/** What the page's own policy refused, as the browser's console tells; filled as the page goes on. */
export function refusedByPolicy(page) {
  const refused = [];
  page.on("console", (message) => /Content Security Policy/.test(message.text()) && refused.push(message.text()));
  return refused;
}

export async function logIn(page, station, name) {
  await page.goto(station.address);
  await page.fill("input[name=name]", name);
  await page.fill("input[name=password]", people[name].password);
  await page.click("login-page button.main");
  await page.waitForSelector("header.mast");
}
