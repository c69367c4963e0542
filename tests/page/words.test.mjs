// The page's texts: none missing in a language, none that nobody asks for.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { builtModule } from "./station.mjs";
import { alarmSentences, measures, refusals, returned, source as sourceOf, tree } from "./daemon_words.mjs";

const source = join(tree, "daemon/web/ui/src");
const texts = (language) => JSON.parse(readFileSync(join(source, `words/${language}.json`), "utf8"));
const templates = texts("told_es");
const { translated } = await builtModule("words/told.ts");
const { localeOf } = await builtModule("words/languages.ts");
const inSpanish = (line) => translated(line, templates, (_, value) => value);
const en = texts("en");
const es = texts("es");
const holes = (text) => [...text.matchAll(/\{(\w+)\}/g)].map((found) => found[1]).sort();
const script = readdirSync(source, { recursive: true })
  .filter((name) => String(name).endsWith(".ts"))
  .map((name) => readFileSync(join(source, String(name)), "utf8"))
  .join("\n");

test("each text is there in English and in Spanish, with the same values to fill in", () => {
  assert.deepEqual(Object.keys(es), Object.keys(en));
  for (const [key, text] of Object.entries(en)) {
    assert.ok(text.trim() && es[key].trim(), `${key} is empty`);
    assert.deepEqual(holes(es[key]), holes(text), key);
  }
});

test("no text is longer than twice the other language's, so that buttons and headings fit", () => {
  for (const [key, text] of Object.entries(en)) {
    assert.ok(es[key].length <= 2 * text.length + 12, `${key}: ${es[key]}`);
  }
});

test("each text is asked for somewhere", () => {
  for (const key of Object.keys(en)) {
    const [kind] = key.split(".");
    const counted = key.replace(/\.(one|other)$/, "");
    const asked = [`"${key}"`, `"${counted}"`, `\`${kind}.\${`, `sayOf("${kind}"`, `sayOf(\`${key.split(".").slice(0, 2).join(".")}`].some((use) => script.includes(use));
    assert.ok(asked, `${key} is never asked for`);
  }
});

test("the words of the station that the page translates are those that openapi.json gives", () => {
  const described = readFileSync(join(tree, "daemon/web/openapi.json"), "utf8");
  const schemas = JSON.parse(described).components.schemas;
  const fields = { phase: schemas.ListedCall.properties.phase, call: schemas.ListedCall.properties.call, verdict: schemas.Finding.properties.verdict, just_before: schemas.Finding.properties.just_before };
  for (const [kind, field] of Object.entries(fields)) {
    for (const word of field.enum) assert.ok(en[`${kind}.${word}`], `${kind}.${word}`);
  }
});

const inBoth = (kind, words) => {
  for (const word of words) for (const known of [en, es]) assert.ok(known[`${kind}.${word}`], `${kind}.${word}`);
};

test("each cause of an alarm has a title, and words that say what to do", () => {
  const causes = returned("daemon/alarms/alarm_cause.cpp").filter(Boolean);
  assert.ok(causes.length >= 17);
  inBoth("alarm", causes);
  inBoth("alarm_do", causes);
});

test("each measure that a profile may ask for has words, and the shipped profiles ask for no other", () => {
  const named = measures().map(({ name }) => name);
  assert.ok(named.length >= 100);
  inBoth("measure", named);
  for (const profile of ["cattle", "pig"]) {
    const asked = [...sourceOf(`classifiers/profiles/${profile}.toml`).matchAll(/measure = "(\w+)"|"(\w+) (?:>|<=) /g)].map(([, step, term]) => step ?? term);
    assert.ok(asked.length > 10);
    inBoth("measure", asked);
  }
});

test("a measure's unit is told by the end of its name", () => {
  const units = { db_oct: "dB/oct", oct_s: "oct/s", per_s: "1/s", db: "dB", hz: "Hz", oct: "oct", s: "s" };
  for (const { name, unit } of measures()) {
    const end = Object.keys(units).find((one) => name.endsWith(`_${one}`));
    if (name !== "voice_sum") assert.equal(end ? units[end] : "", unit === "ratio" ? "" : unit, name);
  }
});

test("each gap, fault, flag and reason to leave a passage out has words", () => {
  const gaps = returned("daemon/capture/gap.cpp").filter(Boolean);
  assert.ok(gaps.length >= 9);
  inBoth("gap", gaps);
  inBoth("fault", returned("daemon/contacts/input_watch.cpp").filter(Boolean));
  const passages = readdirSync(join(tree, "daemon/passages")).filter((name) => name.endsWith(".cpp")).map((name) => sourceOf(`daemon/passages/${name}`)).join("\n") + sourceOf("daemon/station.cpp") + sourceOf("daemon/shifts/tally.cpp");
  const flags = [...passages.matchAll(/flag\([^;]*?\);|flags\.emplace_back\("\w+"\)/g)].flatMap(([call]) => [...call.matchAll(/"(\w+)"/g)].map(([, word]) => word));
  assert.ok(new Set(flags).size >= 12, String(new Set(flags).size));
  inBoth("flag", flags);
  const reasons = [...passages.matchAll(/excluded = "(\w+)"|exclude\("(\w+)"\)|excluded\["(\w+)"\]|\? "(species_not_scored)" : "(several_in_line)"/g)].flatMap((found) => found.slice(1).filter(Boolean));
  assert.ok(new Set(reasons).size >= 10, String(new Set(reasons).size));
  inBoth("excluded", reasons);
});

test("what a station calls a shift without a plan, and the time between shifts, has words", () => {
  const names = [...sourceOf("daemon/shifts/schedule.cpp").matchAll(/return Shift\{"(\w+)"/g), ...sourceOf("daemon/shifts/outside_shifts.h").matchAll(/kOutsideShifts = "(\w+)"/g)].map(([, name]) => name);
  assert.equal(names.length, 2, String(names));
  inBoth("shift_name", names);
});

test("where the trade looks first is said as the daemon says it", () => {
  const said = returned("daemon/factors/trade_list.h");
  for (const phase of ["entry", "body_held", "held", "at_stun"]) assert.ok(said.includes(en[`trade.${phase}`]), phase);
});

test("each sentence that an alarm may say is known in Spanish, with its values", () => {
  const sentences = alarmSentences();
  assert.ok(sentences.length >= 18, String(sentences.length));
  for (const sentence of sentences) {
    const line = sentence.replace(/\.\{\}$/, ".").replace(/^\{\} was/, "The animal of passage {} was");
    let n = 10;
    const filled = line.replaceAll("{}", () => String(++n));
    if (line.startsWith("alarm {} {}")) continue; // of the log
    if (/^The animal of passage \d+$/.test(filled)) continue; // a part of the next
    const spanish = inSpanish(filled);
    assert.ok(spanish, sentence);
    for (let value = 11; value <= n; ++value) assert.ok(spanish.includes(String(value)), `${spanish} lacks ${value}`);
  }
});

test("what the station refuses is said in Spanish, and what to do then", () => {
  const said = refusals();
  assert.ok(said.length >= 70);
  assert.deepEqual(said.filter((line) => inSpanish(line.replaceAll("{}", "7")) === null), []);
});

test("why a call was given to an animal is known in Spanish, part by part", () => {
  const literal = (path, pattern) => [...sourceOf(path).matchAll(pattern)].map(([, line]) => line);
  const reasons = [
    ...literal("daemon/passages/conveyor_cycle.cpp", /placed\(\*\w+, "([^"]+)"\)/g),
    ...literal("daemon/passages/box_cycle.cpp", /reason = "([^"]+)"/g),
    ...literal("daemon/passages/cycle.cpp", /"(line stopped|no animal[^"]+)"/g),
    ...literal("daemon/station/call_desk.cpp", /"([a-z][^"]{20,})"/g).filter((line) => !line.includes("was stunned") && !line.endsWith(".h")),
    ...literal("tests/history/made_history.cpp", /[?:] "((?:the|after) [^"]+)"/g),
    ...literal("daemon/health/minute_trouble.cpp", /\{minute\.\w+, "([^"]+)"\}/g).map((line) => `Microphone door is ${line}.`),
  ];
  assert.ok(reasons.length >= 14, String(reasons.length));
  assert.deepEqual(reasons.filter((line) => inSpanish(line) === null), []);
  const whole = "the animal nearest the stun; passage 12 was stunned and in the line: it may be its; 3.0 dB louder at a than at b";
  assert.equal(inSpanish(whole), "el animal más cercano al aturdido; el animal 12 estaba aturdido y en la fila: puede ser suya; 3.0 dB más fuerte en a que en b");
  assert.equal(inSpanish("something that nobody ever said"), null);
});

test("numbers and dates are those of the browser's region in the language that is read", () => {
  assert.equal(localeOf("es", ["es-MX", "es", "en"]), "es-MX");
  assert.equal(localeOf("es", ["en-US", "es-US"]), "es-US");
  assert.equal(localeOf("en", ["en-GB", "en-US", "en"]), "en-GB");
  assert.equal(localeOf("en", ["en", "en-AU"]), "en-AU");
  assert.equal(localeOf("es", ["es", "en-US"]), "es", "its own, without a region");
  assert.equal(localeOf("es", ["en-US", "en"]), "es-US", "the place, where only another language is named");
  assert.equal(localeOf("en", ["not a language!", "C"]), "en");
  const written = (locale) => new Intl.NumberFormat(locale, { minimumFractionDigits: 1 }).format(124651.5);
  assert.equal(written(localeOf("es", ["es-MX"])), "124,651.5");
  assert.equal(written(localeOf("es", ["es-ES"])), "124.651,5");
});

test("the report and the page say in both languages how often beside how often as a ratio, not as 'more'", () => {
  assert.doesNotMatch(es["factors.ratio"], /más/);
  assert.doesNotMatch(sourceOf("daemon/reports/report_words_es.cpp"), /veces más/);
});
