// What goes with the calls: where in the cycle, and beside which circumstances. Never a cause.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, query } from "../api/client";
import type { Factor, Factors, LotFigures, PhaseShare } from "../api/journal_types";
import { countsLine } from "../parts/coverage_counts";
import { spanChoice, spanFrom } from "../parts/span_choice";
import { Part, toldLine, troubleOf } from "../parts/part";
import { chanceOf, day, number, percent, say, sayMany, sayOf } from "../words/words";

@customElement("factors-page")
export class FactorsPage extends Part {
  @state() private days = 30;
  @state() private factors: Factors | null = null;
  @state() private lots: LotFigures | null = null;
  @state() private trouble: unknown = null;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  private async load() {
    const { days } = this;
    const from = spanFrom(days);
    this.trouble = null;
    try {
      const factors = await get<Factors>(`/factors${query({ from })}`);
      const lots = await get<LotFigures>(`/lots/figures${query({ from })}`);
      if (days === this.days) [this.factors, this.lots] = [factors, lots];
    } catch (error) {
      if (days !== this.days) return;
      this.factors = this.lots = null; // they were of another time
      this.trouble = error;
    }
  }
  private choose = (days: number) => {
    this.days = days;
    void this.load();
  };

  override render() {
    const { factors } = this;
    return html`<div class="stack">
      <div class="title"><h1>${say("place.factors")}</h1>${spanChoice(say("span.last"), this.days, this.choose)}</div>
      ${troubleOf(this.trouble)}
      <p class="caution">${say("factors.no_cause")}</p>
      ${factors ? this.shown(factors) : this.trouble ? nothing : html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`}
      ${this.lots && this.lots.lots.length ? this.lotTable(this.lots) : nothing}
    </div>`;
  }

  private shown(factors: Factors) {
    const most = Math.max(1, ...factors.phases.map((phase) => phase.percent_high ?? 0));
    const seconds = factors.factors.some((row) => row.unit === "seconds") ? say("factors.seconds_are") : "";
    return html`<section class="sheet stack">
        <div class="title"><h2>${say("shift.where")}</h2><span class="soft small">${sayMany("animals", factors.scored)}</span></div>
        <p class="small soft" data-coverage>${countsLine(factors.coverage)}</p>
        <p class="small soft">${say("trade.looks")}</p>
        <ul class="stack">${factors.phases.map((phase) => phaseBar(phase, most))}</ul></section>
      <section class="sheet"><h2>${say("factors.table")}</h2>
        ${[...groups(factors.factors)].map(([name, rows]) => group(name, rows))}
        ${factors.factors.length === 0
          ? html`<p class="empty">${say("factors.nothing")}</p>`
          : html`<p class="small soft">${say("factors.rows_are", { n: factors.factors.length, p: number(0.05, 2) })} ${seconds}</p>`}</section>`;
  }
  private lotTable(lots: LotFigures) {
    return html`<section class="sheet"><div class="wide boxed" tabindex="0" role="region" aria-label=${say("place.lots")}><table>
      <caption>${say("place.lots")}</caption>
      <thead><tr><th>${say("lots.lot")}</th><th>${say("lots.first")}</th><th class="num">${say("shifts.cried")}</th>
        <th class="num">${say("shifts.interval")}</th><th class="num">${say("shifts.animals")}</th></tr></thead>
      <tbody>${lots.lots.map((lot) => html`<tr><td>${lot.lot}</td><td>${day(lot.first)}</td><td class="num strong">${percent(lot.percent)}</td>
        <td class="num soft">${percent(lot.percent_low)} – ${percent(lot.percent_high)}</td>
        <td class="num">${number(lot.vocal)} / ${number(lot.passages)}</td></tr>`)}</tbody>
    </table></div><p class="small soft">${lotLines(lots).join(" ")}</p></section>`;
  }
}

function phaseBar(phase: PhaseShare, most: number) {
  const [low, high] = [phase.percent_low ?? 0, phase.percent_high ?? 0];
  const x = (p: number) => (p / most) * 400;
  const more = `${say("factors.of", { vocal: phase.vocal, passages: phase.passages })}; ${percent(phase.percent_low)} – ${percent(phase.percent_high)}`;
  return html`<li class="bar-row">
    <span class="strong">${sayOf("phase", phase.phase)}</span>
    <svg class="ruler" viewBox="0 0 400 20" preserveAspectRatio="none" aria-hidden="true">
      <rect class="base" y="8" width="400" height="4"/>
      <rect class="band" x=${x(low)} y="3" width=${x(high - low)} height="14"/>
      <rect class="value" x=${x(phase.percent ?? 0) - 1.5} width="3" height="20"/>
    </svg>
    <span>${percent(phase.percent, 2)} <span class="soft small">${more}</span></span>
    <span class="small soft way"><span class="unseen">${say("trade.looks")}: </span>${sayOf("trade", phase.phase)}</span>
  </li>`;
}

/** Long groups (lots, hours) are folded; what stands out in them is told on the fold. On a phone a row is two lines. */
function group(name: string, rows: Factor[]) {
  const told = rows.filter((one) => (one.risk_ratio_low ?? 0) > 1).length;
  return html`<details class="group" ?open=${rows.length <= 6}>
    <summary>${sayOf("factor", name)} ${told ? html`<span class="tag vocal">▲ ${sayMany("factors.told", told)}</span>` : nothing}</summary>
    <div class="wide" tabindex="0" role="region" aria-label=${sayOf("factor", name)}><table class="two-line" role="table">
      <thead role="rowgroup"><tr role="row"><th role="columnheader">${say("factors.what")}</th><th role="columnheader" class="num">${say("factors.with")}</th>
        <th role="columnheader" class="num">${say("factors.without")}</th><th role="columnheader" class="num">${say("factors.ratio")}</th></tr></thead>
      <tbody role="rowgroup">${rows.map(row)}</tbody>
    </table></div></details>`;
}
function row(factor: Factor) {
  const told = (factor.risk_ratio_low ?? 0) > 1;
  const rest = factor.rest_passages ? (100 * factor.rest_vocal) / factor.rest_passages : null;
  const unit = factor.unit === "seconds" ? ` ${say("factors.seconds")}` : "";
  const ratio = factor.risk_ratio === null ? "–" : `× ${number(factor.risk_ratio, 1)}`;
  const span = factor.risk_ratio_low === null ? "" : `${number(factor.risk_ratio_low, 1)} – ${number(factor.risk_ratio_high ?? 0, 1)} `;
  const chance = factor.fisher_p === null ? nothing : html`<span class="p-value">${chanceOf(factor.fisher_p)}</span>`;
  return html`<tr role="row">
    <td role="cell" class=${told ? "strong" : ""}>${told ? "▲ " : ""}${named.includes(factor.factor) ? factor.level : toldLine(factor.level)}</td>
    <td role="cell" class="num">${percent(factor.percent)}<br><span class="small soft">${number(factor.vocal)} / ${number(factor.passages)}${unit}</span></td>
    <td role="cell" class="num">${percent(rest)}<br><span class="small soft">${number(factor.rest_vocal)} / ${number(factor.rest_passages)}</span></td>
    <td role="cell" class="num">${ratio}<br><span class="small soft">${span}${chance}</span></td>
  </tr>`;
}

/** Their levels are people's own words. */
const named = ["lot", "note"];

function lotLines(lots: LotFigures): string[] {
  const span = { low: percent(lots.percent_low), high: percent(lots.percent_high) };
  const lines = [say("lots.all_alone", { counts: say("factors.of", { vocal: lots.vocal, passages: lots.passages }), ...span })];
  if (lots.percent_low_by_lots !== null) {
    const wider = { low: percent(lots.percent_low_by_lots), high: percent(lots.percent_high_by_lots) };
    lines.push(say("lots.all_by_lots", { ...wider, n: lots.passages, effective: number(lots.effective_animals ?? 0) }));
  }
  if (lots.without_lot > 0) lines.push(say("lots.without", { n: lots.without_lot }));
  return [...lines, countsLine(lots.coverage)];
}

function groups(factors: Factor[]) {
  const found = new Map<string, Factor[]>();
  for (const factor of factors) found.set(factor.factor, [...(found.get(factor.factor) ?? []), factor]);
  return found;
}
