// One change: before it and after it.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { get, query } from "../api/client";
import type { Comparison, Figures } from "../api/types";
import "../parts/run_chart";
import type { ChartPoint } from "../parts/run_chart";
import { comparisonLines } from "../parts/comparison_lines";
import { countsLine } from "../parts/coverage_counts";
import { intervalWords, ruler, rulerEnd } from "../parts/share_figure";
import { Part, troubleOf } from "../parts/part";
import { chanceOf, day, dayTime, number, percent, say, sayMany } from "../words/words";

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
    const { span } = this;
    try {
      const compared = await get<Comparison>(`/changes/${this.values["change"]}/comparison${query({ before: span, after: span })}`);
      if (span !== this.span) return; // another was chosen meanwhile
      this.compared = compared;
      this.trouble = null;
    } catch (error) {
      if (span === this.span) this.trouble = error;
    }
  }
  private choose = (event: Event) => {
    this.span = (event.target as HTMLSelectElement).value;
    void this.load();
  };

  override render() {
    const back = html`<p><a href="/changes">‹ ${say("place.changes")}</a></p>`;
    const c = this.compared;
    if (!c && !this.trouble) return html`${back}<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    return html`<div class="stack">
      ${back}
      <div class="title"><h1>${c?.what ?? say("place.changes")}</h1>
        ${c ? html`<span class="soft">${dayTime(c.at)}${c.station_part ? ` · ${c.station_part}` : ""}</span>` : nothing}</div>
      <label>${say("change.compare")}<select name="span" @change=${this.choose}>
        ${spans.map((span) => html`<option value=${span} ?selected=${span === this.span}>${spanWords(span)}</option>`)}
      </select></label>
      ${this.trouble ? troubleOf(this.trouble) : c ? this.shown(c) : nothing}
    </div>`;
  }

  private shown(c: Comparison) {
    const before = figuresOf(c, "before");
    const after = figuresOf(c, "after");
    const end = rulerEnd(before, after);
    return html`<div class="grid-2">
        ${side("before", before, end, c)}
        ${side("after", after, end, c)}
      </div>
      <section class="sheet stack">
        <h2 data-shown=${String(c.shown)}>${verdictOf(c)}</h2>
        ${c.difference_points === null ? nothing : html`<p>${differenceOf(c)}${c.fisher_p === null ? "" : ` · ${chanceOf(c.fisher_p)}`}</p>`}
        <p class="small soft">${say("change.no_cause")}</p>
        ${c.run_chart.length
          ? html`<run-chart .points=${c.run_chart.map(pointOf)} .marks=${[{ utc: c.at, words: c.what, when: dayTime(c.at) }]}></run-chart>`
          : nothing}
        <ul class="reasons small">${comparisonLines(c).map((line) => html`<li>${line}</li>`)}</ul>
      </section>`;
  }
}

const spanWords = (span: string) =>
  span.endsWith("d") ? sayMany("change.days", Number(span.slice(0, -1))) : say("change.animals", { n: Number(span) });

type Side = "before" | "after";
const figuresOf = (c: Comparison, which: Side): Figures => ({
  passages: c.coverage[which].passages,
  scored: c[`${which}_passages`],
  vocal: c[`${which}_vocal`],
  percent: c[`${which}_percent`],
  percent_low: c[`${which}_percent_low`],
  percent_high: c[`${which}_percent_high`],
  limit_percent: null,
  verdict: null,
  coverage: null,
});

function side(which: Side, figures: Figures, end: number, c: Comparison) {
  const first = c[`${which}_first`];
  return html`<section class="sheet share" data-side=${which}>
    <h2>${say(`change.${which}`)}</h2>
    <p class="reading"><span class="value">${percent(figures.percent)}</span></p>
    <p class="strong">${say("share.of", { vocal: figures.vocal ?? 0, scored: sayMany("animals", figures.scored ?? 0) })}</p>
    ${ruler(figures, end)}
    ${figures.percent === null ? nothing : html`<p class="soft">${intervalWords(figures)}</p>`}
    <p class="small soft" data-coverage>${countsLine(c.coverage[which])}</p>
    <p class="small soft">${first ? `${day(first)} – ${day(c[`${which}_last`])}` : say("change.none")}</p>
  </section>`;
}

function verdictOf({ shown, difference_points }: Comparison) {
  if (shown === null) return say("change.cannot_tell");
  if (!shown) return say("change.not_shown");
  return (difference_points ?? 0) < 0 ? say("change.fewer") : say("change.more");
}
const differenceOf = (c: Comparison) =>
  say("change.difference", { points: number(c.difference_points ?? 0, 1), low: number(c.difference_low ?? 0, 1), high: number(c.difference_high ?? 0, 1) });

const pointOf = (group: Comparison["run_chart"][number]): ChartPoint => ({
  utc: group.first,
  percent: group.percent,
  low: null,
  high: null,
  chance_low: group.limit_low_percent,
  chance_high: group.limit_high_percent,
  over: false,
  outside: group.outside,
  words: [
    dayTime(group.first),
    percent(group.percent),
    say("share.of", { vocal: group.vocal, scored: sayMany("animals", group.passages) }),
    ...(group.outside ? [say("chart.outside")] : []),
  ],
});
