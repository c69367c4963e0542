// One line of a scorecard in plain words: "voice_s>0.4 +1.2" is "length of the voice over 0.4 s: +1.2 points".
import { html } from "lit";
import { languageNow, number, say, sayIfKnown, sayOf } from "../words/words";

/** By the end of a measure's name; the first that fits. */
const units = ["db_oct", "oct_s", "per_s", "db", "hz", "oct", "s"];

export function termLine(term: string) {
  const found = /^(.*) ([+-][\d.e+-]+)$/.exec(term);
  const parts = found?.[1]?.split(" & ").map(condition) ?? [];
  if (!found || parts.length === 0 || parts.includes(null)) return html`<span lang="en">${term}</span>`;
  return html`${parts.join(` ${say("desk.and")} `)}: <strong>${say("desk.points", { points: signed(Number(found[2])) })}</strong>`;
}

function condition(text: string): string | null {
  const found = /^(\w+)(>|<=)(-?[\d.e+-]+)$/.exec(text);
  const [, measure = "", way, at] = found ?? [];
  const words = sayIfKnown(`measure.${measure}`);
  if (!found || !words) return null;
  const unit = units.find((one) => measure.endsWith(`_${one}`));
  const value = `${short(Number(at))}${unit ? ` ${sayOf("unit", unit)}` : ""}`;
  return `${words}${/[,;:]/.test(words) ? ":" : ""} ${say(way === ">" ? "bound.over" : "bound.most", { at: value })}`;
}

/** Three digits that count, as the daemon gives them. */
const short = (value: number) => new Intl.NumberFormat(languageNow(), { maximumSignificantDigits: 3 }).format(value);
const signed = (value: number) => `${value < 0 ? "−" : "+"}${number(Math.abs(value), 1)}`;
