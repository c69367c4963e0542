// The page's texts: none missing in a language, none that nobody asks for.
import assert from "node:assert/strict";
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

const tree = join(dirname(fileURLToPath(import.meta.url)), "../..");
const source = join(tree, "daemon/web/ui/src");
const texts = (language) => JSON.parse(readFileSync(join(source, `words/${language}.json`), "utf8"));
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

test("each cause of an alarm has a title", () => {
  const causes = readFileSync(join(tree, "daemon/alarms/alarm_cause.cpp"), "utf8");
  const words = [...causes.matchAll(/return "(\w+)";/g)].map((found) => found[1]);
  assert.ok(words.length >= 15);
  for (const word of words) assert.ok(en[`alarm.${word}`], word);
});
