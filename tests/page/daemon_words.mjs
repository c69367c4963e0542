// What the daemon says in English, read from its sources: with {} where it fills something in.
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const tree = join(dirname(fileURLToPath(import.meta.url)), "../..");
export const source = (path) => readFileSync(join(tree, path), "utf8");

// C++ joins literals that stand side by side.
const literals = String.raw`((?:"(?:[^"\\]|\\.)*"\s*)+)`;
const joined = (found) => [...found.matchAll(/"((?:[^"\\]|\\.)*)"/g)].map(([, part]) => part.replaceAll('\\"', '"')).join("");
const all = (text, pattern) => [...text.matchAll(new RegExp(pattern, "g"))].flatMap((found) => found.slice(1).filter(Boolean).map(joined));

/** The sentences of the alarms: each may be followed by what is in the last {}. */
export function alarmSentences() {
  const text = source("daemon/alarms/station_alarms.cpp") + source("daemon/commands/live_alarms.cpp");
  return all(text, String.raw`fmt::format\(\s*${literals}`)
    .filter((line) => line.split(" ").length > 3)
    .map((line) => line.replaceAll(/\{[^}]*\}/g, "{}"));
}
/** What is wrong and what to do, of answers that say no. */
export function refusals() {
  const folder = join(tree, "daemon/web");
  const texts = readdirSync(folder).filter((name) => name.endsWith(".cpp")).map((name) => readFileSync(join(folder, name), "utf8"));
  return [...new Set(texts.flatMap((text) => [...all(text, String.raw`Refusal\{\s*[^",]+,\s*${literals}\s*,`), ...all(text, String.raw`Refusal\{\s*[^",]+,\s*(?:"(?:[^"\\]|\\.)*"\s*)+,[^,"]*(?:"[^"]*")?[^,"]*,\s*${literals}\s*[,}]`)]))];
}
/** Names of a list of enumerators: each `return "name";`, or each X(…, "name", …). */
export const returned = (path) => all(source(path), String.raw`return ${literals};`);
export const measures = () => [...source("classifiers/measure_list.h").matchAll(/X\(k\w+,\s*"(\w+)",\s*"([^"]*)",\s*"([^"]*)"\)/g)].map(([, name, unit, text]) => ({ name, unit, text }));
