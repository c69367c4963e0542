// One call: heard, seen, why it was taken for one, and what a person says it was. Keys 1 to 5 judge, n goes on.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { get, post } from "../api/client";
import { type Call, type JustBefore, justBefores, type Verdict, verdicts } from "../api/types";
import { clock, day, dayTime, number, say, sayMany, sayOf, seconds } from "../words/words";
import "./clip_player";
import type { ClipPlayer } from "./clip_player";
import { Part, toldLine, troubleOf } from "./part";
import { termLine } from "./term_line";

@customElement("call-desk")
export class CallDesk extends Part {
  @property({ attribute: false }) shiftId = 0;
  @property({ attribute: false }) callId = 0;
  @state() private call: Call | null = null;
  @state() private trouble: unknown = null;
  @state() private justBefore: JustBefore | "" = "";
  @state() private saved = "";

  override connectedCallback() {
    super.connectedCallback();
    window.addEventListener("keydown", this.pressed);
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    window.removeEventListener("keydown", this.pressed);
  }
  override willUpdate(changed: Map<string, unknown>) {
    if (changed.has("shiftId") || changed.has("callId")) void this.load();
  }
  private async load() {
    this.trouble = null;
    this.saved = "";
    this.justBefore = "";
    try {
      this.call = await get<Call>(`/calls/${this.shiftId}/${this.callId}`);
    } catch (error) {
      this.call = null;
      this.trouble = error;
    }
  }

  private pressed = (event: KeyboardEvent) => {
    const target = event.target as HTMLElement;
    if (event.ctrlKey || event.metaKey || event.altKey || ["INPUT", "SELECT", "TEXTAREA"].includes(target.tagName)) return;
    const verdict = verdicts[Number(event.key) - 1];
    if (verdict) void this.judge(verdict);
    else if (event.key === "n") this.dispatchEvent(new Event("next"));
    else if (event.key === "p") this.dispatchEvent(new Event("previous"));
    else if (event.key === " " && target.tagName !== "BUTTON" && target.tagName !== "A") this.querySelector<ClipPlayer>("clip-player")?.toggle();
    else return;
    event.preventDefault();
  };

  private async judge(verdict: Verdict) {
    this.trouble = null;
    try {
      const { amendment } = await post<{ amendment: number | null }>("/findings", {
        shift_id: this.shiftId,
        call_ids: [this.callId],
        verdict,
        ...(this.justBefore ? { just_before: this.justBefore } : {}),
      });
      await this.load();
      this.saved = amendment === null ? say("desk.saved") : say("desk.saved_amendment", { n: amendment });
      this.dispatchEvent(new CustomEvent("judged", { detail: { shift_id: this.shiftId, call_id: this.callId, verdict } }));
    } catch (error) {
      this.trouble = error;
    }
  }

  override render() {
    if (this.trouble && !this.call) return troubleOf(this.trouble);
    const call = this.call;
    if (!call) return html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    const inForce = call.findings.at(-1);
    return html`<div class="player">
      <div class="title">
        <h2>${sayOf("call", call.call)} · ${call.phase ? sayOf("phase", call.phase) : say("calls.no_animal")}</h2>
        <span class="soft">${day(call.start)}, ${clock(call.start)}</span>
      </div>
      ${call.phase === "after_stun" ? html`<p class="caution">${say("desk.after_stun")}</p>` : nothing}
      ${call.clip
        ? html`<clip-player .call=${call}></clip-player>`
        : html`<p class="empty">${say("desk.no_clip")}</p>`}
      <h3>${say("desk.what_was_it")}</h3>
      <div class="verdicts" role="group" aria-label=${say("desk.what_was_it")}>
        ${verdicts.map((verdict, i) => html`<button data-verdict=${verdict} aria-pressed=${inForce?.verdict === verdict} @click=${() => void this.judge(verdict)}><kbd>${i + 1}</kbd> ${sayOf("verdict", verdict)}</button>`)}
      </div>
      <div class="fields">
        <label>${say("desk.just_before")}
          <select @change=${(event: Event) => (this.justBefore = (event.target as HTMLSelectElement).value as JustBefore | "")}>
            <option value="">${say("desk.not_said")}</option>
            ${justBefores.map((what) => html`<option value=${what} ?selected=${what === this.justBefore}>${sayOf("just_before", what)}</option>`)}
          </select></label>
        <div class="row"><button @click=${() => this.dispatchEvent(new Event("previous"))}><kbd>p</kbd> ${say("desk.previous")}</button><button class="main" @click=${() => this.dispatchEvent(new Event("next"))}><kbd>n</kbd> ${say("desk.next")}</button></div>
      </div>
      <p class="small soft for-pointer">${say("desk.keys")}</p>
      <p role="status" class="small">${this.saved}</p>
      ${troubleOf(this.trouble)}
      ${this.words(call)}
      ${call.findings.length ? html`<h3>${sayMany("desk.findings", call.findings.length)}</h3>
        <ul class="reasons">${[...call.findings].reverse().map((finding) => html`<li>${dayTime(finding.utc)} · ${finding.entered_by}: <strong>${sayOf("verdict", finding.verdict)}</strong>${finding.just_before ? `, ${sayOf("just_before", finding.just_before)}` : ""}${finding.note ? ` – ${finding.note}` : ""}</li>`)}</ul>` : nothing}
    </div>`;
  }

  private words(call: Call) {
    return html`<h3>${say("desk.why")}</h3>
      <ul class="reasons"><li><strong>${call.counted ? say("calls.counted") : say("calls.not_counted")}</strong>: ${toldLine(call.reason)}</li>${call.terms.map((term) => html`<li>${termLine(term)}</li>`)}</ul>
      <dl class="facts small">
        <dt>${say("calls.score")}</dt><dd>${number(call.score, 1)}</dd>
        <dt>${say("desk.length")}</dt><dd>${seconds(call.end_s - call.start_s, 2)}</dd>
        <dt>${say("desk.level")}</dt><dd>${number(call.level_db, 1)} dB</dd>
        <dt>${say("desk.pitch")}</dt><dd>${call.f0_hz ? `${number(call.f0_hz)} Hz` : "–"}</dd>
        <dt>${say("desk.microphone")}</dt><dd>${call.microphone}</dd>
        ${call.passage ? html`<dt>${say("calls.where")}</dt><dd><a href="/calls?shift=${call.shift_id}&passage=${call.passage.passage_id}">${say("calls.animal", { n: String(call.passage.passage_id) })}</a></dd>` : nothing}
      </dl>`;
  }
}
