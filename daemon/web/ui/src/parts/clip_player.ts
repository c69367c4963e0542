// A clip that is heard and seen: its spectrogram as the station computed it, calls, phases and contacts drawn on it, and
// below it the waveform, where one goes to a moment.
import { html, nothing, svg } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import WaveSurfer from "wavesurfer.js";
import RegionsPlugin from "wavesurfer.js/dist/plugins/regions.esm.js";
import { get } from "../api/client";
import type { Call, PassageTimes } from "../api/types";
import { number, say, sayOf, seconds } from "../words/words";
import { Part, troubleOf } from "./part";

const tileWide = 1200;
const tileHigh = 256;

@customElement("clip-player")
export class ClipPlayer extends Part {
  @property({ attribute: false }) call: Call | null = null;
  @state() private playing = false;
  @state() private at_s = 0;
  @state() private trouble: unknown = null;
  private wave: WaveSurfer | null = null;
  private made = 0;

  override updated() {
    const clip = this.call?.clip?.clip_id ?? 0;
    if (clip !== this.made) void this.make(clip);
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    this.wave?.destroy();
    this.wave = null;
    this.made = 0;
  }

  toggle() {
    void this.wave?.playPause();
  }

  private async make(clip: number) {
    this.made = clip;
    this.wave?.destroy();
    this.wave = null;
    this.playing = false;
    this.at_s = 0;
    const call = this.call;
    const container = this.querySelector<HTMLElement>(".wave");
    if (!call?.clip || !container) return;
    const length = call.clip.end_s - call.clip.start_s;
    try {
      const { lowest, highest } = await get<{ lowest: number[]; highest: number[] }>(`/clips/${clip}/peaks?count=600`);
      if (this.made !== clip) return;
      const colour = (name: string) => getComputedStyle(this).getPropertyValue(name).trim();
      const regions = RegionsPlugin.create();
      const peaks = highest.flatMap((top, i) => [top, lowest[i] ?? 0]);
      this.wave = WaveSurfer.create({
        container,
        url: `/api/v1/clips/${clip}/audio`,
        peaks: [peaks],
        duration: length,
        height: 64,
        normalize: true,
        waveColor: colour("--body"),
        progressColor: colour("--pine"),
        cursorColor: colour("--ink"),
        plugins: [regions],
      });
      this.wave.on("timeupdate", (now) => (this.at_s = now));
      this.wave.on("play", () => (this.playing = true));
      this.wave.on("pause", () => (this.playing = false));
      this.wave.on("error", (error) => (this.trouble = error.message));
      this.wave.on("ready", () => {
        const marks = regions.addRegion({ start: call.start_s - (call.clip?.start_s ?? 0), end: call.end_s - (call.clip?.start_s ?? 0), drag: false, resize: false, color: "rgb(166 58 18 / 0.25)" });
        marks.element?.setAttribute("aria-hidden", "true");
      });
    } catch (error) {
      this.trouble = error;
    }
  }

  override render() {
    const call = this.call;
    if (!call?.clip) return nothing;
    const { clip } = call;
    const length = clip.end_s - clip.start_s;
    const x = (s: number) => ((s - clip.start_s) / length) * 1000;
    return html`<div class="tile">
        <img src="/api/v1/clips/${clip.clip_id}/spectrogram?width=${tileWide}&height=${tileHigh}" alt=${say("player.spectrogram")} width=${tileWide} height=${tileHigh}>
        <svg viewBox="0 0 1000 224" preserveAspectRatio="none" aria-hidden="true">
          ${call.passage ? phaseBars(call.passage, call.passage.entered_s, x) : nothing}
          ${call.edges.filter((edge) => edge.closed && edge.time_s >= clip.start_s && edge.time_s <= clip.end_s).map((edge) => svg`<line class="edge-line" vector-effect="non-scaling-stroke" x1=${x(edge.time_s)} x2=${x(edge.time_s)} y1="0" y2="224"/>`)}
          <rect class="call-box" vector-effect="non-scaling-stroke" x=${x(call.start_s)} y="10" width=${Math.max(2, x(call.end_s) - x(call.start_s))} height="210"/>
          <line class="playhead" vector-effect="non-scaling-stroke" x1=${(this.at_s / length) * 1000} x2=${(this.at_s / length) * 1000} y1="0" y2="224"/>
        </svg>
      </div>
      <div class="wave"></div>
      <div class="row">
        <button class="main" data-play @click=${() => this.toggle()}>${this.playing ? `❚❚ ${say("player.pause")}` : `▶ ${say("player.play")}`}</button>
        <span data-at=${this.at_s.toFixed(3)}>${seconds(this.at_s)} / ${seconds(length)}</span>
        <span class="small soft">${call.edges.filter((edge) => edge.closed && edge.time_s >= clip.start_s && edge.time_s <= clip.end_s).map((edge) => `${sayOf("contact", edge.role)} ${number(edge.time_s - clip.start_s, 1)} s`).join(" · ")}</span>
      </div>
      ${troubleOf(this.trouble)}`;
  }
}

function phaseBars(passage: PassageTimes, from: number, x: (s: number) => number) {
  const held = passage.held_s ?? passage.stunned_s;
  const parts: [string, number, number][] = [
    ["entry", from, passage.body_held_s ?? held ?? passage.end_s],
    ["body_held", passage.body_held_s ?? from, passage.body_held_s === null ? from : (held ?? passage.end_s)],
    ["held", passage.held_s ?? from, passage.held_s === null ? from : (passage.stunned_s ?? passage.end_s)],
    ["after", passage.stunned_s ?? from, passage.stunned_s === null ? from : passage.end_s],
  ];
  return svg`<g class="strip">${parts.map(([name, a, b]) => (b > a ? svg`<rect class=${name} x=${x(a)} y="0" width=${x(b) - x(a)} height="8"/>` : nothing))}</g>`;
}
