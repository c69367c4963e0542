// Shares in the order of time, each with its interval, the limit, what chance alone would do, and numbered marks where
// something was changed. Of shifts, or of the groups of a comparison. Drawn by uPlot; read by pointer, by keys, in words.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import uPlot from "uplot";
import { go } from "../places";
import { number, percent, say } from "../words/words";
import { Part } from "./part";
import { pointDuring } from "./mark_position";
import { type ChartMark, type ChartPoint, runChartOptions, topOf } from "./run_chart_options";

export type { ChartMark, ChartPoint } from "./run_chart_options";

/** As near as one gets: so many points stay in sight. */
const fewest = 4;

@customElement("run-chart")
export class RunChart extends Part {
  @property({ attribute: false }) points: ChartPoint[] = [];
  @property({ attribute: false }) marks: ChartMark[] = [];
  @property({ attribute: false }) limit: number | null = null;
  @property({ attribute: false }) mean: number | null = null;
  /** The point that the pointer or the keys are at. */
  @state() private at: number | null = null;
  @state() private zoomed = false;
  private plot: uPlot | null = null;
  private moved = false;
  private readonly watch = new ResizeObserver(() => this.resize());
  private readonly dark = window.matchMedia("(prefers-color-scheme: dark)");

  override connectedCallback() {
    super.connectedCallback();
    this.classList.add("chart");
    this.dark.addEventListener("change", this.anew);
    this.watch.observe(this);
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    this.dark.removeEventListener("change", this.anew);
    this.watch.disconnect();
    this.plot?.destroy();
    this.plot = null;
  }
  private anew = () => this.draw();

  override updated(changed: Map<string, unknown>) {
    // A change of the language comes without a property.
    if (changed.size === 0 || ["points", "marks", "limit", "mean"].some((name) => changed.has(name))) this.draw();
    else this.placeTip();
  }

  private get shown() {
    return this.points.filter((point) => point.percent !== null);
  }

  private draw() {
    const where = this.querySelector<HTMLElement>(".plot");
    this.plot?.destroy();
    this.plot = null;
    if (!where || where.clientWidth === 0 || this.shown.length === 0) return;
    const options = runChartOptions({ points: this.shown, marks: this.marks, limit: this.limit, mean: this.mean, element: this, width: where.clientWidth });
    options.hooks = {
      ...options.hooks,
      setCursor: [(plot) => this.pointedAt(plot.cursor.idx ?? null)],
      setScale: [(plot) => this.scaled(plot)],
    };
    const top = topOf(this.shown, this.limit);
    const shares = this.shown.map((point) => Math.min(point.percent ?? 0, top));
    this.plot = new uPlot(options, [shares.map((_, i) => i), shares], where);
    this.plot.over.addEventListener("pointerdown", () => (this.moved = false));
    this.plot.over.addEventListener("pointermove", (event) => (this.moved ||= event.buttons !== 0));
    this.plot.over.addEventListener("click", (event) => this.clicked(event as PointerEvent));
    this.placeTip();
  }
  private resize() {
    const width = this.querySelector<HTMLElement>(".plot")?.clientWidth ?? 0;
    if (width > 0 && width !== this.plot?.width) this.draw();
  }

  private pointedAt(index: number | null) {
    if (index !== null && this.matches(":hover")) this.at = index;
  }
  private scaled(plot: uPlot) {
    const { min, max } = plot.scales["x"] ?? {};
    this.zoomed = min != null && max != null && max - min < this.shown.length - 0.01;
    queueMicrotask(() => this.placeTip()); // when the scale holds
  }
  private clicked(event: PointerEvent) {
    const point = this.at === null ? undefined : this.shown[this.at];
    // A finger shows first and opens by the line below; the end of a drag opens nothing.
    if (!this.moved && event.pointerType !== "touch" && point?.goes) go(point.goes);
  }

  /** What is said of a point, with what was altered meanwhile. */
  private wordsOf(i: number): string[] {
    const points = this.shown;
    const during = this.marks.flatMap((mark, n) => (pointDuring(mark.utc, points) === i ? [say("chart.changed_during", { n: n + 1, what: mark.words })] : []));
    return [...(points[i]?.words ?? []), ...during];
  }
  private mark(mark: ChartMark, i: number) {
    const during = pointDuring(mark.utc, this.shown);
    const shift = during === null ? undefined : this.shown[during]?.words[0];
    return html`<li><span class="mark-number" aria-hidden="true">${number(i + 1)}</span>
      ${mark.goes ? html`<a href=${mark.goes}>${mark.words}</a>` : mark.words}
      <span class="soft">${mark.when}${shift ? html`; <span data-during>${say("chart.during", { shift })}</span>` : nothing}</span></li>`;
  }

  private sight() {
    const { min, max } = this.plot?.scales["x"] ?? {};
    return { min: min ?? -0.5, max: max ?? this.shown.length - 0.5 };
  }
  private see(min: number, max: number) {
    const all = this.shown.length;
    const wide = Math.min(all, Math.max(fewest, max - min));
    const from = Math.max(-0.5, Math.min(min, all - 0.5 - wide));
    this.plot?.setScale("x", { min: from, max: from + wide });
    this.placeTip();
  }
  private zoom(by: number) {
    const { min, max } = this.sight();
    const middle = this.at !== null && this.at >= min && this.at <= max ? this.at : (min + max) / 2;
    const half = ((max - min) / 2) * by;
    this.see(middle - half, middle + half);
  }
  private step(to: number) {
    const at = Math.max(0, Math.min(this.shown.length - 1, to));
    this.at = at;
    const { min, max } = this.sight();
    if (at - 0.5 < min) this.see(at - 0.5, at - 0.5 + max - min);
    else if (at + 0.5 > max) this.see(at + 0.5 - (max - min), at + 0.5);
  }
  private pressed(event: KeyboardEvent) {
    const last = this.shown.length - 1;
    const at = this.at ?? last + 1;
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "ArrowLeft") this.step(at - 1);
    else if (event.key === "ArrowRight") this.step(at + 1);
    else if (event.key === "Home") this.step(0);
    else if (event.key === "End") this.step(last);
    else if (event.key === "+") this.zoom(0.5);
    else if (event.key === "-") this.zoom(2);
    else if (event.key === "0" || event.key === "Escape") this.see(-0.5, last + 0.5);
    else if (event.key === "Enter" && this.shown[at]?.goes) go(this.shown[at].goes);
    else return;
    event.preventDefault();
  }

  private placeTip() {
    const tip = this.querySelector<HTMLElement>(".chart-tip");
    const plot = this.plot;
    if (!tip || !plot) return;
    const value = this.at === null ? null : (this.shown[this.at]?.percent ?? null);
    const x = this.at === null ? -1 : plot.valToPos(this.at, "x");
    tip.hidden = value === null || x < -1 || x > plot.over.clientWidth + 1;
    if (tip.hidden || value === null) return;
    const left = plot.over.offsetLeft;
    const right = x > plot.over.clientWidth / 2;
    tip.style.left = right ? "" : `${left + x + 12}px`;
    tip.style.right = right ? `${plot.width - left - x + 12}px` : "";
    const finder = this.querySelector<HTMLElement>(".chart-at");
    if (finder) finder.style.left = `${left + x}px`;
  }

  override render() {
    const points = this.shown;
    if (points.length === 0) return html`<p class="empty">${say("shifts.none_scored")}</p>`;
    const point = this.at === null ? undefined : points[this.at];
    const words = this.wordsOf(this.at ?? points.length - 1);
    return html`
      <div class="row between chart-tools">
        <p class="small soft">${point?.goes
          ? html`<a class="chart-open" href=${point.goes}>${point.words[0]} ›</a>`
          : html`<span class="for-pointer">${say("chart.keys")}</span><span class="for-touch">${say("chart.touch")}</span>`}</p>
        <div class="row" role="group" aria-label=${say("chart.zoom")}>
          <button @click=${() => this.zoom(0.5)} ?disabled=${points.length <= fewest} aria-label=${say("chart.closer")}>+</button>
          <button @click=${() => this.zoom(2)} ?disabled=${!this.zoomed} aria-label=${say("chart.further")}>−</button>
          <button data-all @click=${() => this.see(-0.5, points.length - 0.5)} ?disabled=${!this.zoomed}>${say("chart.all")}</button>
        </div>
      </div>
      <div class="plot-frame" @pointerleave=${() => (this.at = null)}>
        <div class="plot" role="slider" tabindex="0" aria-label=${say("chart.label", { n: points.length })} aria-valuemin="1" aria-valuemax=${points.length}
          aria-valuenow=${(this.at ?? points.length - 1) + 1} aria-valuetext=${words.join(", ")} data-zoomed=${this.zoomed}
          @keydown=${this.pressed}></div>
        <div class="chart-at" ?hidden=${!point} aria-hidden="true"></div>
        <div class="chart-tip" hidden aria-hidden="true">${point
          ? html`<strong>${words[0]}</strong>${words.slice(1).map((line) => html`<br>${line}`)}`
          : nothing}</div>
      </div>
      ${this.key()}
      ${this.marks.length ? html`<ol class="chart-marks small">${this.marks.map((mark, i) => this.mark(mark, i))}</ol>` : nothing}
      <details class="group"><summary>${say("chart.table")}</summary><div class="wide boxed" tabindex="0" role="region" aria-label=${say("chart.table")}><table>
        <tbody>${points.map((one, i) => this.row(one, i)).reverse()}</tbody>
      </table></div></details>`;
  }
  private row(point: ChartPoint, i: number) {
    const [when, , ...more] = this.wordsOf(i);
    return html`<tr><td>${point.goes ? html`<a href=${point.goes}>${when}</a>` : when}</td>
      <td class="num">${percent(point.percent)}</td><td class="small">${more.join(" · ")}</td></tr>`;
  }

  private key() {
    const points = this.shown;
    return html`<p class="key" aria-hidden="true">
      ${this.limit === null
        ? nothing
        : html`<span><span class="over-sign">▲</span> ${say("share.over")}</span>
          <span><span class="limit-sign">╌╌</span> ${say("share.limit", { limit: percent(this.limit) })}</span>`}
      ${points.some((point) => point.low !== null) ? html`<span>│ ${say("shifts.interval")}</span>` : nothing}
      ${this.mean === null ? nothing : html`<span>── ${say("chart.mean", { mean: percent(this.mean) })}</span>`}
      ${points.some((point) => point.open) ? html`<span>○ ${say("chart.open")}</span>` : nothing}
      ${points.some((point) => point.chance_high !== null) ? html`<span>▒ ${say("chart.chance")}</span><span>◯ ${say("chart.outside")}</span>` : nothing}
    </p>`;
  }
}
