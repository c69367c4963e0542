// The sound of the last minute, as levels of bands over time, with calls and contacts on it.
import { html } from "lit";
import { customElement, property } from "lit/decorators.js";
import type { Edge, LiveCall, Spectrum, SpectrumColumn } from "../api/types";
import { number, say, sayOf } from "../words/words";
import { Part } from "./part";

const shownS = 60;
const dark: [number, number, number] = [16, 24, 26];
// Dark slate, pine, sand, white: lightness rises evenly, so it reads the same without colours.
const steps: [number, number, number][] = [dark, [22, 70, 68], [70, 138, 120], [222, 190, 120], [255, 252, 240]];
const spanDb = 60;
/** Below it nothing is drawn brightly, however still it is. */
const quietestLoudest = -90;

type Mark = { kind: "call"; call: LiveCall } | { kind: "edge"; edge: Edge };

@customElement("running-spectrogram")
export class RunningSpectrogram extends Part {
  /** The last seconds as they were when the page joined; the first microphone is shown. */
  @property({ attribute: false }) spectrum: Spectrum | null = null;
  private columns: SpectrumColumn[] = [];
  private marks: Mark[] = [];
  private loudest = quietestLoudest;
  private drawing = 0;

  add(column: SpectrumColumn & { microphone: string }) {
    if (column.microphone !== this.spectrum?.microphones[0]?.microphone) return;
    this.take(column);
    this.draw();
  }
  private take(column: SpectrumColumn) {
    this.columns.push(column);
    for (const level of column.levels_db) if (level > this.loudest) this.loudest = level;
  }
  override willUpdate(changed: Map<string, unknown>) {
    if (!changed.has("spectrum")) return;
    this.columns = [];
    for (const column of this.spectrum?.microphones[0]?.columns ?? []) this.take(column);
    this.draw();
  }
  mark(mark: Mark) {
    this.marks.push(mark);
    this.draw();
  }

  override render() {
    return html`<div class="sound-picture"><canvas role="img" aria-label=${say("sound.label")}></canvas></div>`;
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
    const last = this.columns.at(-1);
    const { column_s = 0.2, bands_hz = [] } = this.spectrum ?? {};
    if (!canvas || !last) return;
    const from = last.start_s + column_s - shownS;
    this.columns = this.columns.filter((column) => column.start_s > from);
    this.marks = this.marks.filter((mark) => timeOf(mark) > from);
    const dense = Math.min(2, window.devicePixelRatio || 1);
    canvas.width = canvas.clientWidth * dense;
    canvas.height = canvas.clientHeight * dense;
    const pen = canvas.getContext("2d");
    if (!pen) return;
    const x = (s: number) => ((s - from) / shownS) * canvas.width;
    for (const { start_s, levels_db } of this.columns) {
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

function text(pen: CanvasRenderingContext2D, words: string, x: number, y: number, dense: number) {
  pen.save();
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
