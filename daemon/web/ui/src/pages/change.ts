// One change: before it and after it.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { get, query } from "../api/client";
import type { Comparison } from "../api/types";
import "../parts/run_chart";
import type { ChartPoint } from "../parts/run_chart";
import { comparisonLines } from "../parts/comparison_lines";
import { ruler } from "../parts/share_figure";
import { Part, troubleOf } from "../parts/part";
import { day, dayTime, number, percent, say, sayMany } from "../words/words";

const spans = ["1d", "7d", "14d", "28d", "200", "400", "1000"];

@customElement("change-page")
export class ChangePage extends Part {
  @property({ attribute: false }) values: Record<string, string> = {};
  @state() private compared: Comparison | null = null;
  @state() private span = "7d";
  @state() private trouble: unknown = null;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  private async load() {
    try {
      this.compared = await get<Comparison>(`/changes/${this.values["change"]}/comparison${query({ before: this.span, after: this.span })}`);
      this.trouble = null;
    } catch (error) {
      this.trouble = error;
    }
  }

  override render() {
    const back = html`<p><a href="/changes">‹ ${say("place.changes")}</a></p>`;
    if (this.trouble) return html`${back}${troubleOf(this.trouble)}`;
    const c = this.compared;
    if (!c) return html`${back}<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    return html`<div class="stack">
      ${back}
      <div class="title"><h1>${c.what}</h1><span class="soft">${dayTime(c.at)}${c.station_part ? ` · ${c.station_part}` : ""}</span></div>
      <label>${say("change.compare")}<select @change=${(event: Event) => { this.span = (event.target as HTMLSelectElement).value; void this.load(); }}>
        ${spans.map((span) => html`<option value=${span} ?selected=${span === this.span}>${span.endsWith("d") ? sayMany("change.days", Number(span.slice(0, -1))) : say("change.animals", { n: Number(span) })}</option>`)}
      </select></label>
      <div class="grid-2">
        ${this.side("before", c.before_vocal, c.before_passages, c.before_percent, c.before_percent_low, c.before_percent_high, c.before_first, c.before_last)}
        ${this.side("after", c.after_vocal, c.after_passages, c.after_percent, c.after_percent_low, c.after_percent_high, c.after_first, c.after_last)}
      </div>
      <section class="sheet stack">
        <h2 data-shown=${String(c.shown)}>${c.shown === null ? say("change.cannot_tell") : c.shown ? ((c.difference_points ?? 0) < 0 ? say("change.fewer") : say("change.more")) : say("change.not_shown")}</h2>
        ${c.difference_points === null ? nothing : html`<p>${say("change.difference", { points: number(c.difference_points, 1), low: number(c.difference_low ?? 0, 1), high: number(c.difference_high ?? 0, 1) })}${c.fisher_p === null ? "" : ` · p ${c.fisher_p < 0.001 ? "< 0.001" : `= ${number(c.fisher_p, 3)}`}`}</p>`}
        <p class="small soft">${say("change.no_cause")}</p>
        ${c.run_chart.length ? html`<run-chart .points=${c.run_chart.map(pointOf)} .marks=${[{ utc: c.at, words: c.what, when: dayTime(c.at) }]}></run-chart>` : nothing}
        <ul class="reasons small">${comparisonLines(c).map((line) => html`<li>${line}</li>`)}</ul>
      </section>
    </div>`;
  }

  private side(which: "before" | "after", vocal: number, scored: number, value: number | null, low: number | null, high: number | null, first: string | null, last: string | null) {
    return html`<section class="sheet share" data-side=${which}>
      <h2>${say(`change.${which}`)}</h2>
      <p class="reading"><span class="value">${percent(value)}</span></p>
      <p class="strong">${say("share.of", { vocal, scored: sayMany("animals", scored) })}</p>
      ${ruler({ passages: scored, scored, vocal, percent: value, percent_low: low, percent_high: high, limit_percent: null, verdict: null, coverage: null })}
      <p class="small soft">${first ? `${day(first)} – ${day(last)}` : say("change.none")}</p>
    </section>`;
  }
}

const pointOf = (group: Comparison["run_chart"][number]): ChartPoint => ({
  utc: group.first,
  percent: group.percent,
  low: null,
  high: null,
  chance_low: group.limit_low_percent,
  chance_high: group.limit_high_percent,
  over: false,
  outside: group.outside,
  words: [dayTime(group.first), percent(group.percent), say("share.of", { vocal: group.vocal, scored: sayMany("animals", group.passages) }), ...(group.outside ? [say("chart.outside")] : [])],
});
