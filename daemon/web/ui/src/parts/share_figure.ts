// The share of animals that cried out: the number, of how many, how sure, against which limit, how much was heard.
import { html, nothing, svg } from "lit";
import type { Figures } from "../api/types";
import { toldLine } from "./part";
import { number, percent, say, sayMany, share as shareOf } from "../words/words";

const width = 600;
const left = 8;

/** Where the ruler of these shares ends, %: one for all that stand beside each other. */
export const rulerEnd = (...all: Pick<Figures, "percent_high" | "limit_percent">[]) =>
  niceEnd(Math.max(2, ...all.map(({ percent_high: high, limit_percent: limit }) => Math.max(high ?? 0, (limit ?? 0) * 1.6))));

/** The interval as a bar on a ruler of percent, with the limit on it. */
export function ruler(figures: Figures, most = rulerEnd(figures)) {
  const { percent: value, percent_low: low, percent_high: high, limit_percent: limit } = figures;
  if (value === null || low === null || high === null) return nothing;
  const x = (p: number) => left + ((width - 2 * left) * p) / most;
  const step = most / 5;
  const limitAt = limit === null ? 0 : x(limit);
  const right = limitAt > width * 0.7;
  const words = limit === null ? "" : say("share.limit", { limit: percent(limit) });
  const label = say("share.interval", { low: percent(low), high: percent(high) }) + (words && `, ${words}`);
  const mark = (i: number) => {
    const anchor = i === 0 ? "start" : i === 5 ? "end" : "middle";
    return svg`<text x=${x(i * step)} y="68" text-anchor=${anchor}>${number(i * step, step % 1 ? 1 : 0)}${i === 5 ? " %" : ""}</text>`;
  };
  return html`<svg class="ruler" viewBox="0 0 ${width} 74" role="img" data-end=${most} aria-label=${label}>
    <rect class="base" x=${left} y="34" width=${width - 2 * left} height="6" rx="3"/>
    <rect class="band" x=${x(low)} y="26" width=${Math.max(3, x(high) - x(low))} height="22" rx="4"/>
    <circle class="value" cx=${x(value)} cy="37" r="9"/>
    ${[0, 1, 2, 3, 4, 5].map(mark)}
    ${limit === null
      ? nothing
      : svg`<line class="limit" x1=${limitAt} x2=${limitAt} y1="16" y2="52"/>
        <text class="limit-word" x=${limitAt + (right ? -6 : 6)} y="16" text-anchor=${right ? "end" : "start"}>${words}</text>`}
  </svg>`;
}

const niceEnd = (most: number) => [2, 5, 10, 15, 20, 25, 30, 40, 50, 75, 100].find((end) => end >= most) ?? 100;

export function verdictTag(figures: Figures) {
  if (figures.verdict === "over_limit") return html`<span class="tag over">▲ ${say("share.over")}</span>`;
  if (figures.verdict === "within_limit") return html`<span class="tag within">✓ ${say("share.within")}</span>`;
  return html`<span class="tag">${say("share.not_scored")}</span>`;
}

export function coverageLine(figures: Figures) {
  if (!figures.coverage) return nothing;
  return html`<p class="soft">${say("share.coverage", {
    scored: figures.scored ?? 0,
    passages: figures.passages ?? 0,
    heard: shareOf(figures.coverage.time_heard),
    contacts: shareOf(figures.coverage.contacts_known),
  })}</p>`;
}

/** All of it. */
export function shareFigure(figures: Figures, why: string | null) {
  const known = figures.percent !== null;
  return html`<div class="share">
    <p class="figure ${known ? "" : "unknown"}">${known ? number(figures.percent as number, 1) : "–"}${known ? html`<small> %</small>` : nothing}</p>
    <div class="row between" ?hidden=${!known && !figures.scored}>
      <p class="of">${say("share.of", { vocal: figures.vocal ?? 0, scored: sayMany("animals", figures.scored ?? 0) })}</p>${verdictTag(figures)}</div>
    ${known ? ruler(figures) : html`<p class="said">${why ? toldLine(why) : say("share.none_yet")}</p>`}
    ${known ? html`<p class="said soft">${intervalWords(figures)}</p>` : nothing}
    ${known && figures.verdict !== "not_scored" && within(figures) ? html`<p class="soft">${say("share.not_sure")}</p>` : nothing}
    ${coverageLine(figures)}
  </div>`;
}

export const intervalWords = (figures: Pick<Figures, "percent_low" | "percent_high">) =>
  say("share.interval", { low: percent(figures.percent_low), high: percent(figures.percent_high) });

/** These animals can't yet tell on which side of the limit the share is. */
const within = ({ percent_low: low, percent_high: high, limit_percent: limit }: Figures) =>
  low !== null && high !== null && limit !== null && low <= limit && limit <= high;
