// All text of the page, by language, and numbers and times as people of that language write them.
import type en from "./en.json";
import { fetched, type Language, languages, localeOf, wishedLanguage } from "./languages";
import { localTimes, type Templates, translated } from "./told";

export type Word = keyof typeof en;
export { type Language, languages };

let texts: Record<string, string> = {};
let templates: Templates | null = null;
const changes = new EventTarget();
let language: Language = "en";
/** The language as it is written in the reader's region: "es-MX". */
let locale = "en";
let timezone: string | undefined;

export const languageNow = () => language;
export const whenLanguageChanges = (then: () => void) => {
  changes.addEventListener("change", then);
  return () => changes.removeEventListener("change", then);
};
export async function speak(next: Language) {
  ({ texts, told: templates } = await fetched[next]());
  language = next;
  locale = localeOf(next, navigator.languages);
  document.documentElement.lang = next;
  try {
    localStorage.setItem("language", next);
  } catch {
    // a browser that keeps nothing
  }
  changes.dispatchEvent(new Event("change"));
}
export const speakAsBefore = () => speak(wishedLanguage());
/** Times are shown in the station's own zone, wherever the reader is. */
export const setTimezone = (zone: string) => void (timezone = zone);

/** The text, with {name} replaced by values.name; `n` chooses between word.one and word.other. */
export function say(word: Word, values: Record<string, string | number> = {}): string {
  let text = texts[word] ?? word;
  for (const [name, value] of Object.entries(values)) {
    text = text.replaceAll(`{${name}}`, typeof value === "number" ? number(value) : value);
  }
  return text;
}
/** A text whose key is made of a word of the station's: "phase.held". The word itself where none is known. */
export function sayOf(kind: string, word: string | null | undefined): string {
  if (!word) return "";
  return texts[`${kind}.${word}`] ?? word.replaceAll("_", " ");
}
/** The name of a shift: people's own, or the station's for what no plan names. */
export const shiftName = (name: string) => texts[`shift_name.${name}`] ?? name;
/** Why a passage is not scored: a reason of its own, or a gap in what was heard. */
export const sayExcluded = (why: string) => texts[`excluded.${why}`] ?? sayOf("gap", why);
/** A text that may be missing, where nothing is better than the bare word. */
export const sayIfKnown = (key: string): string | undefined => texts[key];

/** What the daemon says in English: in the reader's language where its template is known; else as it is, and so marked. */
export function told(line: string): { words: string; lang: Language } {
  const at = (utc: string) => (dateOf(utc) === dateOf(new Date().toISOString()) ? clock(utc) : dayTime(utc));
  if (!templates) return { words: localTimes(line, at), lang: "en" };
  const filled = (hole: string, value: string) => {
    if (texts[`${hole}.${value}`]) return texts[`${hole}.${value}`] as string;
    if (/^[-+]?\d+(\.\d+)?$/.test(value)) return number(Number(value), value.split(".")[1]?.length ?? 0);
    return localTimes(value, at);
  };
  if (/^[\d.,]+$/.test(line)) return { words: line, lang: language };
  const words = translated(line, templates, filled);
  return words === null ? { words: localTimes(line, at), lang: "en" } : { words, lang: language };
}
export function sayMany(word: string, n: number): string {
  const form = new Intl.PluralRules(language).select(n) === "one" ? "one" : "other";
  return say(`${word}.${form}` as Word, { n });
}

const cached = new Map<string, Intl.NumberFormat | Intl.DateTimeFormat>();
function format<T extends Intl.NumberFormat | Intl.DateTimeFormat>(key: string, make: () => T): T {
  const whole = `${locale} ${timezone} ${key}`;
  let found = cached.get(whole) as T | undefined;
  if (!found) cached.set(whole, (found = make()));
  return found;
}
export const number = (value: number, digits = 0) =>
  format(`n${digits}`, () => new Intl.NumberFormat(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits })).format(value);
/** 2.4 → "2.4 %", with the space that both languages' standards for units ask for. */
export const percent = (value: number | null | undefined, digits = 1) =>
  value === null || value === undefined ? "–" : `${number(value, digits)}\u00a0%`;
export const share = (part: number | null | undefined) =>
  part === null || part === undefined ? "–" : percent(part * 100, part > 0.995 && part < 1 ? 1 : 0);
export const seconds = (value: number | null | undefined, digits = 1) =>
  value === null || value === undefined ? "–" : `${number(value, digits)}\u00a0s`;
/** How probable chance alone makes it: "p = 0.032". */
export const chanceOf = (p: number) => (p < 0.001 ? `p\u00a0<\u00a0${number(0.001, 3)}` : `p\u00a0=\u00a0${number(p, 3)}`);

type Utc = string | null | undefined;
const dates = (key: string, options: Intl.DateTimeFormatOptions) => format(key, () => new Intl.DateTimeFormat(locale, { timeZone: timezone, ...options }));
const dated = (key: string, options: Intl.DateTimeFormatOptions, utc: Utc) => (utc ? dates(key, options).format(new Date(utc)) : "–");
/** The day in the station's zone, "2026-03-08". */
export const dateOf = (utc: string) =>
  format("iso", () => new Intl.DateTimeFormat("en-CA", { year: "numeric", month: "2-digit", day: "2-digit", timeZone: timezone })).format(new Date(utc));
const inDay: Intl.DateTimeFormatOptions = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
const ofYear: Intl.DateTimeFormatOptions = { day: "numeric", month: "short", year: "numeric" };
export const clock = (utc: Utc) => dated("t", { ...inDay, second: "2-digit" }, utc);
export const hourMinute = (utc: Utc) => dated("h", inDay, utc);
export const day = (utc: Utc) => dated("d", { weekday: "short", ...ofYear }, utc);
export const shortDay = (utc: Utc) => dated("sd", { weekday: "short", day: "numeric", month: "short" }, utc);
export const pointDay = (utc: string) => dated("pd", { day: "numeric", month: "short" }, utc);
export const dayTime = (utc: Utc) => dated("dt", { ...ofYear, ...inDay }, utc);
export const month = (utc: Utc) => dated("m", { month: "long", year: "numeric" }, utc);
/** "Mon": of the days of a week from Monday, 0, on. */
export const weekday = (i: number) => dates("wd", { weekday: "short", timeZone: "UTC" }).format(new Date(Date.UTC(2024, 0, 1 + i)));

/** Digital silence has no level worth reading. */
export function level(db: number | null | undefined, unit: string) {
  if (db === null || db === undefined) return "–";
  return db < -150 ? say("station.no_signal") : `${number(db)}\u00a0${unit === "dB re full scale" ? say("station.full_scale") : unit}`;
}
