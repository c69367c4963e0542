// Shares in the order of time, each with its interval, the limit, what chance alone would do, and marks where something
// was changed. Of shifts, or of the groups of a comparison.
import { html, nothing, svg } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { go } from "../places";
import { day, number, percent, say } from "../words/words";
import { Part, scale } from "./part";


export interface ChartPoint {
  utc: string;
  percent: number | null;
  low: number | null;
  high: number | null;
  /** What chance alone leaves it within, where that is known. */
  chance_low: number | null;
  chance_high: number | null;
  over: boolean;
  outside: boolean;
  words: string;
  goes?: string;
}
export interface ChartMark {
  utc: string;
  words: string;
}
/** On a desk, px. */
const desk = { height: 250, left: 48, right: 12, top: 22, bottom: 26 };

const drawn = () => {
  const by = scale();
  return { height: desk.height * by, left: desk.left * by, right: desk.right * by, top: desk.top * by, bottom: desk.bottom * by, by };
};

@customElement("run-chart")
export class RunChart extends Part {
  @property({ attribute: false }) points: ChartPoint[] = [];
  @property({ attribute: false }) marks: ChartMark[] = [];
  @property({ attribute: false }) limit: number | null = null;
  @property({ attribute: false }) mean: number | null = null;
  @state() private width = 900;
  private watch = new ResizeObserver((entries) => (this.width = Math.max(280, Math.round(entries[0]?.contentRect.width ?? 900))));

  override connectedCallback() {
    super.connectedCallback();
    this.classList.add("chart", "picture");
    this.style.display = "block";
    this.watch.observe(this);
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    this.watch.disconnect();
  }

  override render() {
    const points = this.points.filter((point) => point.percent !== null);
    if (points.length === 0) return html`<p class="empty">${say("shifts.none_scored")}</p>`;
    const { height, left, right, top, bottom, by } = drawn();
    const { limit, mean, width } = this;
    const most = topOf(points, limit);
    const pitch = (width - left - right) / points.length;
    const x = (i: number) => left + pitch * (i + 0.5);
    const y = (p: number) => top + (height - top - bottom) * (1 - Math.max(0, Math.min(p, most)) / most);
    const step = [0.5, 1, 2, 5, 10, 20].find((by) => most / by <= 6) ?? 25;
    const each = Math.max(1, Math.ceil(points.length / Math.max(2, Math.floor(width / (110 * by)))));
    const chance = points.map((point, i) => ({ point, i })).filter(({ point }) => point.chance_high !== null);
    return html`<svg viewBox="0 0 ${width} ${height}" role="img" aria-label=${say("chart.label", { n: points.length })}>
      ${Array.from({ length: Math.floor(most / step) + 1 }, (_, i) => i * step).map((p) => svg`<line class="axis" x1=${left} x2=${width - right} y1=${y(p)} y2=${y(p)}/><text x=${left - 6} y=${y(p) + 4 * by} text-anchor="end">${number(p, step < 1 ? 1 : 0)} %</text>`)}
      ${chance.map(({ point, i }) => svg`<rect class="chance" x=${x(i) - pitch / 2} width=${pitch} y=${y(point.chance_high ?? 0)} height=${Math.max(1, y(point.chance_low ?? 0) - y(point.chance_high ?? 0))}/>`)}
      ${mean === null ? nothing : svg`<line class="centre" x1=${left} x2=${width - right} y1=${y(mean)} y2=${y(mean)}/>`}
      ${limit === null ? nothing : svg`<line class="limit" x1=${left} x2=${width - right} y1=${y(limit)} y2=${y(limit)}/>`}
      ${points.length > 1 ? svg`<path class="line" d=${points.map((point, i) => `${i ? "L" : "M"}${x(i).toFixed(1)} ${y(point.percent ?? 0).toFixed(1)}`).join("")}/>` : nothing}
      ${points.map((point, i) => svg`<g class=${point.goes ? "goes" : ""} @click=${() => point.goes && go(point.goes)}>
          <title>${point.words}</title>
          ${point.low === null || point.high === null ? nothing : svg`<line class="whisker" x1=${x(i)} x2=${x(i)} y1=${y(point.high)} y2=${y(point.low)}/>`}
          ${point.over ? svg`<path class="dot over" d="M${x(i)} ${y(point.percent ?? 0) - 7 * by}l${6 * by} ${11 * by}h${-12 * by}z"/>` : svg`<circle class="dot" cx=${x(i)} cy=${y(point.percent ?? 0)} r=${4.5 * by}/>`}
          ${(point.percent ?? 0) > most ? svg`<text x=${x(i) - 6 * by} y=${top + 14 * by} text-anchor="end">↑ ${percent(point.percent, 0)}</text>` : nothing}
          ${point.outside ? svg`<circle class="outside" cx=${x(i)} cy=${y(point.percent ?? 0)} r=${9 * by}/>` : nothing}
          ${i % each === 0 ? svg`<text x=${Math.max(left, x(i))} y=${height - 8 * by} text-anchor="middle">${shortDay(point.utc)}</text>` : nothing}
        </g>`)}
      ${this.marks.map((mark) => {
        const at = points.findIndex((point) => point.utc >= mark.utc);
        const xm = left + pitch * (at < 0 ? points.length : at);
        const flip = xm > width * 0.65;
        const longest = Math.floor(width / (16 * by));
        return svg`<line class="mark" x1=${xm} x2=${xm} y1="4" y2=${height - bottom}/><text class="mark-word" x=${xm + (flip ? -5 : 5)} y=${14 * by} text-anchor=${flip ? "end" : "start"}>${mark.words.length > longest ? `${mark.words.slice(0, longest - 1)}…` : mark.words}</text>`;
      })}
    </svg>
    <p class="key" aria-hidden="true">
      ${limit === null ? nothing : html`<span>▲ ${say("share.over")}</span><span>╌ ${say("share.limit", { limit: percent(limit) })}</span>`}
      <span>│ ${say("shifts.interval")}</span>
      ${chance.length ? html`<span>▒ ${say("chart.chance")}</span><span>◯ ${say("chart.outside")}</span>` : nothing}
    </p>`;
  }
}

/** The scale ends where the usual points do; one beyond (a shift that has just begun) is drawn at the edge with its value. */
function topOf(points: ChartPoint[], limit: number | null) {
  const values = points.map((point) => point.percent ?? 0).sort((a, b) => a - b);
  const usual = values[Math.floor((values.length - 1) * 0.9)] ?? 0;
  return Math.min(100, Math.max(4, 1.5 * (limit ?? 0), 1.6 * usual, Math.min(values.at(-1) ?? 0, 3 * usual) * 1.15));
}

const shortDay = (utc: string) => day(utc).replace(/^[^\d]*?(?=\d|[A-Z][a-z]{2} \d)/, "").replace(/[\s,]+\d{4}$/, "");
