// The last passages as columns, each as tall as it took, its phases and calls at their times from the entry.
import { html, nothing, svg } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import type { LivePassage } from "../api/types";
import { clock, number, say, sayExcluded, sayMany, sayOf, seconds } from "../words/words";
import { cryMark } from "./signs";
import { Part, scale } from "./part";

/** On a desk, px. */
const desk = { height: 250, top: 22, bottom: 24, left: 40 };

const drawn = () => {
  const by = scale();
  return { height: desk.height * by, top: desk.top * by, bottom: desk.bottom * by, left: desk.left * by, by };
};

@customElement("passage-strip")
export class PassageStrip extends Part {
  @property({ attribute: false }) passages: LivePassage[] = [];
  @state() private width = 900;
  private watch = new ResizeObserver((entries) => (this.width = Math.max(300, Math.round(entries[0]?.contentRect.width ?? 900))));

  override connectedCallback() {
    super.connectedCallback();
    this.classList.add("strip");
    this.style.display = "block";
    this.watch.observe(this);
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    this.watch.disconnect();
  }

  override render() {
    const { height, top, bottom, left, by } = drawn();
    const most = Math.floor((this.width - left) / (14 * by));
    const shown = this.passages.slice(-Math.min(50, most));
    if (shown.length === 0) return html`<p class="empty">${say("strip.none")}</p>`;
    const longest = this.scale_s(shown);
    const pitch = Math.min(44 * by, (this.width - left) / shown.length);
    const y = (s: number) => top + ((height - top - bottom) * Math.min(s, longest)) / longest;
    const vocal = shown.filter((passage) => passage.vocal).length;
    const step = stepOf(longest);
    const lines = Array.from({ length: Math.floor(longest / step) + 1 }, (_, i) => i * step);
    return html`<svg viewBox="0 0 ${this.width} ${height}" role="img" aria-label=${say("strip.label", { shown: sayMany("animals", shown.length), vocal })}>
        ${lines.map((s) => svg`<line class="grid" x1=${left} x2=${this.width} y1=${y(s)} y2=${y(s)}/><text x=${left - 6} y=${y(s) + 4 * by} text-anchor="end">${number(s)} s</text>`)}
        ${shown.map((passage, i) => this.column(passage, left + i * pitch, pitch, longest, y, i % Math.ceil((70 * by) / pitch) === 0))}
      </svg>
      <ol class="unseen">${shown.map((passage) => html`<li>${this.sentence(passage)}</li>`)}</ol>
      ${key()}`;
  }

  /** The tall outliers are cut off at the top so that the usual ones can be read. */
  private scale_s(shown: LivePassage[]) {
    const lengths = shown.map((passage) => passage.end_s - passage.entered_s).sort((a, b) => a - b);
    const usual = lengths[Math.floor((lengths.length - 1) * 0.9)] ?? 30;
    return Math.max(20, Math.min(lengths.at(-1) ?? usual, usual * 1.5));
  }

  private column(passage: LivePassage, x: number, pitch: number, longest: number, y: (s: number) => number, dated: boolean) {
    const { height, top, bottom, by } = drawn();
    const wide = pitch * 0.62;
    const at = (s: number | null) => (s === null ? null : s - passage.entered_s);
    const end = passage.end_s - passage.entered_s;
    const body = at(passage.body_held_s);
    const head = at(passage.held_s);
    const stun = at(passage.stunned_s);
    const held = head ?? stun;
    const parts: [string, number, number][] = [
      ["entry", 0, body ?? held ?? end],
      ["body_held", body ?? 0, body === null ? 0 : (held ?? end)],
      ["held", head ?? 0, head === null ? 0 : (stun ?? end)],
      ["after", stun ?? 0, stun === null ? 0 : end],
    ];
    return svg`<g class=${passage.covered ? "" : "not-covered"}>
      <title>${this.sentence(passage)}</title>
      ${parts.map(([phase, from, to]) => (to > from && from < longest ? svg`<rect class=${phase} x=${x} y=${y(from)} width=${wide} height=${Math.max(1, y(to) - y(from))}/>` : nothing))}
      ${stun === null || stun > longest ? nothing : svg`<rect class="stun" x=${x - 2} y=${y(stun) - 1.5 * by} width=${wide + 4} height=${3 * by}/>`}
      ${end > longest ? svg`<text x=${x + wide / 2} y=${height - bottom + 1} text-anchor="middle">↓</text>` : nothing}
      ${passage.covered && !passage.excluded ? nothing : svg`<rect class="out" x=${x - 1.5} y=${top - 1.5} width=${wide + 3} height=${y(end) - top + 3}/>`}
      ${passage.calls.map((call) => cryMark(x + wide - 3, y(Math.max(0, call.start_s - passage.entered_s)), Math.min(13 * by, Math.max(8 * by, pitch * 0.5)), call.counted))}
      ${passage.vocal ? svg`<text class="vocal-word" x=${x + wide / 2} y=${top - 7 * by} text-anchor="middle">▲</text>` : nothing}
      ${dated ? svg`<text x=${x} y=${height - 4 * by}>${clock(passage.entered).slice(0, 5)}</text>` : nothing}
    </g>`;
  }

  private sentence(passage: LivePassage) {
    const parts = [
      say("strip.animal", { n: String(passage.passage_id), time: clock(passage.entered) }),
      passage.excluded ? sayExcluded(passage.excluded) : passage.vocal ? sayMany("strip.calls", passage.counted_calls) : say("strip.silent"),
    ];
    if (passage.held_for_s !== null) parts.push(say("strip.held", { time: seconds(passage.held_for_s) }));
    if (passage.stuns > 1) parts.push(sayMany("strip.stuns", passage.stuns));
    parts.push(...passage.flags.map((flag) => sayOf("flag", flag)));
    return parts.join(" · ");
  }
}

const stepOf = (longest: number) => [5, 10, 15, 20, 30, 60, 120, 300, 600].find((step) => longest / step <= 6) ?? 1200;

function key() {
  const box = (name: string) => html`<svg viewBox="0 0 14 14" aria-hidden="true"><rect class=${name} width="14" height="14"/></svg>`;
  return html`<p class="key" aria-hidden="true">
    <span>${box("entry")}${sayOf("phase", "entry")}</span><span>${box("body_held")}${sayOf("phase", "body_held")}</span>
    <span>${box("held")}${sayOf("phase", "held")}</span>
    <span><svg viewBox="0 0 14 14"><rect class="stun" y="5" width="14" height="4"/></svg>${say("strip.stun")}</span>
    <span>${box("after")}${sayOf("phase", "after_stun")}</span>
    <span><svg viewBox="0 0 14 14">${cryMark(0, 7, 12, true)}</svg>${say("strip.call")}</span>
    <span><svg viewBox="0 0 14 14">${cryMark(1, 7, 11, false)}</svg>${say("strip.uncounted")}</span>
    <span>${say("strip.vocal")}</span>
  </p>`;
}
