// The sound of the last minute, as levels of bands over time, with calls and contacts on it.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import type { Edge, LiveCall, Spectrum, SpectrumColumn } from "../api/types";
import { number, say, sayOf } from "../words/words";
import { Part } from "./part";

const shownS = 60;
const dark: [number, number, number] = [16, 24, 26];
// Dark slate, pine, sand, white: lightness rises evenly, so it reads the same without colours.
const steps: [number, number, number][] = [dark, [22, 70, 68], [70, 138, 120], [222, 190, 120], [255, 252, 240]];
const spanDb = 60;
/** Below it nothing is drawn brightly, however still it is. */
const quietestLoudest = -60;

type Mark = { kind: "call"; call: LiveCall } | { kind: "edge"; edge: Edge };

@customElement("running-spectrogram")
export class RunningSpectrogram extends Part {
  /** The last seconds of each microphone as they were when the page joined. */
  @property({ attribute: false }) spectrum: Spectrum | null = null;
  /** Whose sound is shown; the first microphone's until another is chosen. */
  @state() private chosen = "";
  private columns = new Map<string, SpectrumColumn[]>();
  private marks: Mark[] = [];
  private loudest = quietestLoudest;
  private drawing = 0;

  add(column: SpectrumColumn & { microphone: string }) {
    const known = this.columns.get(column.microphone);
    if (!known) return;
    known.push(column);
    const from = column.start_s - shownS;
    while (known[0] && known[0].start_s < from) known.shift();
    if (column.microphone !== this.chosen) return;
    this.measure([column]);
    this.draw();
  }
  private measure(columns: SpectrumColumn[]) {
    for (const column of columns) for (const level of column.levels_db) if (level > this.loudest) this.loudest = level;
  }
  override willUpdate(changed: Map<string, unknown>) {
    if (!changed.has("spectrum")) return;
    const microphones = this.spectrum?.microphones ?? [];
    this.columns = new Map(microphones.map(({ microphone, columns }) => [microphone, [...columns]]));
    if (!this.columns.has(this.chosen)) this.chosen = microphones[0]?.microphone ?? "";
    this.loudest = quietestLoudest;
    this.measure(this.columns.get(this.chosen) ?? []);
    this.draw();
  }
  private choose(event: Event) {
    this.chosen = (event.target as HTMLSelectElement).value;
    this.loudest = quietestLoudest;
    this.measure(this.columns.get(this.chosen) ?? []);
    this.draw();
  }
  mark(mark: Mark) {
    this.marks.push(mark);
    this.draw();
  }

  override render() {
    const names = [...this.columns.keys()];
    return html`${names.length > 1
        ? html`<label class="row sound-choice">${say("sound.of")}<select @change=${this.choose}>${names.map((name) => html`<option value=${name} ?selected=${name === this.chosen}>${name}</option>`)}</select></label>`
        : nothing}
      <div class="sound-picture"><canvas role="img" data-microphone=${this.chosen} aria-label=${say("sound.label")}></canvas></div>`;
  }

  private draw() {
    if (this.drawing) return;
    this.drawing = requestAnimationFrame(() => {
      this.drawing = 0;
      this.paint();
    });
  }
  private paint() {
    const canvas = this.querySelector("canvas");
    const shown = this.columns.get(this.chosen) ?? [];
    const last = shown.at(-1);
    const { column_s = 0.2, bands_hz = [] } = this.spectrum ?? {};
    if (!canvas || !last) return;
    const from = last.start_s + column_s - shownS;
    this.marks = this.marks.filter((mark) => timeOf(mark) > from);
    const dense = Math.min(2, window.devicePixelRatio || 1);
    canvas.width = canvas.clientWidth * dense;
    canvas.height = canvas.clientHeight * dense;
    const pen = canvas.getContext("2d");
    if (!pen) return;
    const x = (s: number) => ((s - from) / shownS) * canvas.width;
    for (const { start_s, levels_db } of shown) {
      const high = canvas.height / levels_db.length;
      levels_db.forEach((level, i) => {
        pen.fillStyle = colour(1 - (this.loudest - level) / spanDb);
        pen.fillRect(x(start_s), canvas.height - (i + 1) * high, x(start_s + column_s) - x(start_s) + 1, high + 1);
      });
    }
    pen.font = `${12 * dense}px system-ui, sans-serif`;
    pen.lineWidth = 2 * dense;
    for (const hz of [200, 1000, 4000]) {
      const band = bands_hz.findIndex((centre) => centre >= hz);
      if (band > 0) text(pen, hz < 1000 ? `${hz} Hz` : `${number(hz / 1000)} kHz`, 4 * dense, canvas.height * (1 - band / bands_hz.length), dense);
    }
    for (const mark of this.marks) {
      if (mark.kind === "call") {
        pen.strokeStyle = "#ffb48f";
        pen.strokeRect(x(mark.call.start_s), 2 * dense, Math.max(4, x(mark.call.end_s) - x(mark.call.start_s)), canvas.height - 4 * dense);
        text(pen, `◀ ${sayOf("call", mark.call.call)}`, x(mark.call.end_s) + 4 * dense, 14 * dense, dense);
      } else if (mark.edge.closed) {
        pen.strokeStyle = "#9fe0d3";
        pen.beginPath();
        pen.moveTo(x(mark.edge.time_s), 0);
        pen.lineTo(x(mark.edge.time_s), canvas.height);
        pen.stroke();
        text(pen, sayOf("contact", mark.edge.role), x(mark.edge.time_s) + 4 * dense, canvas.height - 6 * dense, dense);
      }
    }
  }
}

const timeOf = (mark: Mark) => (mark.kind === "call" ? mark.call.end_s : mark.edge.time_s);

/** Words that would leave the picture at its right end stand before x. */
function text(pen: CanvasRenderingContext2D, words: string, x: number, y: number, dense: number) {
  pen.save();
  const wide = pen.measureText(words).width;
  if (x + wide > pen.canvas.width) x -= wide + 8 * dense;
  pen.lineWidth = 4 * dense;
  pen.strokeStyle = "#10181a";
  pen.strokeText(words, x, y);
  pen.fillStyle = "#ffffff";
  pen.fillText(words, x, y);
  pen.restore();
}

function colour(part: number): string {
  const at = Math.max(0, Math.min(0.9999, part)) * (steps.length - 1);
  const i = Math.floor(at);
  const a = steps[i] ?? dark;
  const b = steps[i + 1] ?? a;
  const mix = (k: 0 | 1 | 2) => Math.round(a[k] + (b[k] - a[k]) * (at - i));
  return `rgb(${mix(0)} ${mix(1)} ${mix(2)})`;
}
