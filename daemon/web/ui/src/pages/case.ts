// One case: gather, decide, export, verify.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { get, may, post, query } from "../api/client";
import type { Case, Export, Verified } from "../api/case_types";
import { Part, troubleOf } from "../parts/part";
import { dayTime, number, say, sayOf, seconds } from "../words/words";

@customElement("case-page")
export class CasePage extends Part {
  @property({ attribute: false }) values: Record<string, string> = {};
  @state() private one: Case | null = null;
  @state() private exports: Export[] = [];
  @state() private verified: Record<number, Verified> = {};
  @state() private trouble: unknown = null;
  @state() private said = "";
  private timer = 0;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    clearTimeout(this.timer);
  }
  private get path() {
    return `/cases/${this.values["case"]}`;
  }
  private async load() {
    try {
      this.one = await get<Case>(this.path);
      if (may("manager")) this.exports = (await get<{ exports: Export[] }>(`/exports${query({ case: this.values["case"] })}`)).exports;
      clearTimeout(this.timer);
      if (this.exports.some((made) => made.state === "waiting" || made.state === "running")) this.timer = window.setTimeout(() => void this.load(), 500);
    } catch (error) {
      this.trouble = error;
    }
  }
  private async send<T>(path: string, body: unknown): Promise<T | undefined> {
    this.trouble = null;
    this.said = "";
    try {
      const answer = await post<T>(path, body);
      await this.load();
      return answer;
    } catch (error) {
      this.trouble = error;
      return undefined;
    }
  }
  private gather = async (event: SubmitEvent) => {
    event.preventDefault();
    const given = new FormData(event.target as HTMLFormElement);
    const numbers = String(given.get("passages") ?? "").split(/[\s,;]+/).filter(Boolean).map(Number);
    const moment = (name: string) => (given.get(name) ? { [name]: String(given.get(name)).replace("T", " ") } : {});
    const body = numbers.length ? { shift_id: Number(given.get("shift")), passage_ids: numbers } : { ...moment("from"), ...moment("to"), calling: given.get("calling") === "on" };
    const gathered = await this.send<{ passages: number; calls: number; clips: number }>(`${this.path}/gather`, body);
    if (gathered) this.said = say("case.gathered", { passages: gathered.passages, calls: gathered.calls, clips: gathered.clips });
  };
  private step = async (event: SubmitEvent) => {
    event.preventDefault();
    const form = event.target as HTMLFormElement;
    const given = new FormData(form);
    const step = (event.submitter as HTMLButtonElement).value;
    if ((await this.send(`${this.path}/steps`, { step, ...(given.get("text") ? { text: String(given.get("text")) } : {}) })) !== undefined) form.reset();
  };
  private async verify(made: Export) {
    const verified = await this.send<Verified>(`/exports/${made.export_id}/verify`, {});
    if (verified) this.verified = { ...this.verified, [made.export_id]: verified };
  }

  override render() {
    const one = this.one;
    const trouble = troubleOf(this.trouble);
    if (!one) return this.trouble ? trouble : html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    const writes = may("manager") && one.state === "open";
    return html`<div class="stack"><p><a href="/cases">‹ ${say("place.cases")}</a></p>
      <div class="title"><h1>${one.reference}</h1><span class="tag">${sayOf("case_state", one.state)}</span></div>
      ${trouble}
      <p>${say("case.asked", { who: one.asked_by, when: dayTime(one.opened), by: one.entered_by })}${one.note ? html`<br>${one.note}` : nothing}</p>
      ${one.decision ? html`<p class="caution"><strong>${say("case.decision")}</strong>: ${one.decision}</p>` : nothing}
      <p role="status">${this.said}</p>
      <div class="grid-2">
        <section class="sheet stack"><h2>${say("case.inside")}</h2>
          <p data-inside>${say("cases.holds", { passages: number(one.passages), calls: number(one.calls), clips: number(one.clips) })}</p>
          <ul class="reasons">${one.clip_list.map((clip) => html`<li>${clip.call_id === null ? say("case.clip", { n: String(clip.clip_id) }) : html`<a href="/calls/${clip.shift_id}/${clip.call_id}">${say("case.clip", { n: String(clip.clip_id) })}</a>`}
            <span class="small soft">${dayTime(clip.start)} · ${seconds(clip.seconds)} · ${clip.deleted ? say("case.deleted") : clip.held ? say("case.held") : say("case.not_held")}</span></li>`)}</ul>
          ${writes ? html`<form class="fields" @submit=${this.gather}><h3 class="whole">${say("case.gather")}</h3>
            <label>${say("case.from")}<input type="datetime-local" name="from"></label><label>${say("case.to")}<input type="datetime-local" name="to"></label>
            <label class="row"><input type="checkbox" name="calling"> ${say("case.calling")}</label>
            <label>${say("case.shift")}<input name="shift" inputmode="numeric"></label><label>${say("case.passages")}<input name="passages" inputmode="numeric"></label>
            <button class="main">${say("case.put_in")}</button></form>` : nothing}
        </section>
        <section class="sheet stack"><h2>${say("case.decide")}</h2>
          ${may("manager") ? html`<form class="stack" @submit=${this.step}><label>${say("case.text")}<textarea name="text" maxlength="2000"></textarea></label>
            <div class="row">${one.state === "open" ? ["note", "decision", "closed"].map((step) => html`<button name="step" value=${step} class=${step === "decision" ? "main" : ""}>${sayOf("case_step", step)}</button>`) : html`<button name="step" value="reopened">${sayOf("case_step", "reopened")}</button>`}</div></form>` : nothing}
          <ul class="reasons">${[...one.events].reverse().slice(0, 60).map((event) => html`<li><span class="small soft">${dayTime(event.utc)} · ${event.entered_by}</span><br>${sayOf("case_event", event.event)}${event.passage_id ? ` ${say("calls.animal", { n: String(event.passage_id) })}` : ""}${event.clip_id ? ` ${say("case.clip", { n: String(event.clip_id) })}` : ""}${event.text ? `: ${event.text}` : ""}</li>`)}</ul>
        </section>
      </div>
      ${may("manager") ? this.handOver() : nothing}
    </div>`;
  }

  private handOver() {
    return html`<section class="sheet stack"><div class="title"><h2>${say("case.hand_over")}</h2><button class="main" data-export @click=${() => void this.send(`${this.path}/export`, { masked: true })}>${say("case.export")}</button></div>
      <p class="small soft">${say("case.masked")}</p>
      <ul class="reasons">${this.exports.map((made) => html`<li class="row between" data-export-state=${made.state}><span>${made.file || say("case.export_n", { n: String(made.export_id) })} <span class="small soft">${made.bytes === null ? "" : `${number(made.bytes / 1e6, 1)} MB`} ${sayOf("export_state", made.state)}${made.failed_because ? `: ${made.failed_because}` : ""}</span>
        ${this.verified[made.export_id] ? html`<br><strong data-fits=${this.verified[made.export_id]?.fits}>${this.verified[made.export_id]?.fits ? `✓ ${say("case.fits")}` : `✕ ${say("case.fits_not")}`}</strong><br><span class="small soft" lang="en">${this.verified[made.export_id]?.words.join(" ")}</span>` : nothing}</span>
        ${made.state === "done" ? html`<span class="row"><a class="button" href="/api/v1/exports/${made.export_id}/file" download>${say("case.download")}</a><button data-verify @click=${() => void this.verify(made)}>${say("case.verify")}</button></span>` : nothing}</li>`)}</ul></section>`;
  }
}
