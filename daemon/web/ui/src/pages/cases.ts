// Cases: someone complained or asked; what the records hold about it, kept together.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, may, post, query } from "../api/client";
import type { CaseSummary } from "../api/case_types";
import { Part, troubleOf } from "../parts/part";
import { go } from "../places";
import { dayTime, number, say, sayOf } from "../words/words";

@customElement("cases-page")
export class CasesPage extends Part {
  @state() private cases: CaseSummary[] | null = null;
  @state() private all = false;
  @state() private trouble: unknown = null;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  private async load() {
    try {
      this.cases = (await get<{ cases: CaseSummary[] }>(`/cases${query({ all: this.all ? 1 : 0 })}`)).cases;
    } catch (error) {
      this.trouble = error;
    }
  }
  private open = async (event: SubmitEvent) => {
    event.preventDefault();
    const given = new FormData(event.target as HTMLFormElement);
    try {
      const { case_id } = await post<{ case_id: number }>("/cases", { reference: String(given.get("reference")), asked_by: String(given.get("asked_by")), ...(given.get("note") ? { note: String(given.get("note")) } : {}) });
      go(`/cases/${case_id}`);
    } catch (error) {
      this.trouble = error;
    }
  };

  override render() {
    return html`<div class="stack"><h1>${say("place.cases")}</h1>
      ${troubleOf(this.trouble)}
      <div class="grid-2">
        <section class="sheet stack"><div class="title"><h2>${say("cases.list")}</h2><button aria-pressed=${this.all} @click=${() => { this.all = !this.all; void this.load(); }}>${say("cases.closed_too")}</button></div>
          ${this.cases?.length === 0 ? html`<p class="empty">${say("cases.none")}</p>` : nothing}
          <ul class="reasons">${this.cases?.map((one) => html`<li><a href="/cases/${one.case_id}"><strong>${one.reference}</strong></a> <span class="tag">${sayOf("case_state", one.state)}</span><br>
            <span class="small soft">${one.asked_by} · ${dayTime(one.opened)} · ${say("cases.holds", { passages: number(one.passages), calls: number(one.calls), clips: number(one.clips) })}</span></li>`)}</ul></section>
        ${may("manager") ? html`<section class="sheet"><h2>${say("cases.new")}</h2><form class="fields" @submit=${this.open}>
          <label>${say("cases.reference")}<input name="reference" required maxlength="200"></label>
          <label>${say("cases.asked_by")}<input name="asked_by" required maxlength="200"></label>
          <label class="whole">${say("cases.note")}<textarea name="note" maxlength="2000"></textarea></label>
          <button class="main">${say("cases.open")}</button></form></section>` : nothing}
      </div></div>`;
  }
}
