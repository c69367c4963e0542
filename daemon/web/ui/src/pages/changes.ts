// What was altered at the station, and whether it helped.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, may, post, query } from "../api/client";
import type { Chart, JournalEntry } from "../api/types";
import { chartOf } from "../parts/chart_of";
import { Part, troubleOf } from "../parts/part";
import { go } from "../places";
import { dayTime, say } from "../words/words";

@customElement("changes-page")
export class ChangesPage extends Part {
  @state() private changes: JournalEntry[] | null = null;
  @state() private chart: Chart | null = null;
  @state() private trouble: unknown = null;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  private async load() {
    const chart = get<Chart>(`/chart${query({ most: 60 })}`); // at the same time
    chart.catch(() => {});
    try {
      this.changes = (await get<{ changes: JournalEntry[] }>("/changes")).changes;
      this.chart = await chart;
    } catch (error) {
      this.trouble = error;
    }
  }
  private async add(event: SubmitEvent) {
    event.preventDefault();
    const form = event.target as HTMLFormElement;
    const given = new FormData(form);
    const at = String(given.get("at") ?? "").replace("T", " ");
    try {
      const change = await post<JournalEntry>("/changes", {
        what: String(given.get("what")),
        ...(given.get("station_part") ? { station_part: String(given.get("station_part")) } : {}),
        ...(at ? { at } : {}),
      });
      go(`/changes/${change.entry_id}`);
    } catch (error) {
      this.trouble = error;
    }
  }

  override render() {
    return html`<div class="stack">
      <h1>${say("place.changes")}</h1>
      ${troubleOf(this.trouble)}
      ${this.chart?.shifts.length ? html`<section class="sheet">${chartOf(this.chart)}</section>` : nothing}
      <div class="grid-2">
        <section class="sheet"><h2>${say("changes.list")}</h2>
          ${this.changes?.length === 0 ? html`<p class="empty">${say("changes.none")}</p>` : nothing}
          <ul class="reasons">${this.changes?.map((change) => html`<li>
            <a href="/changes/${change.entry_id}">${change.text}</a><br>
            <span class="small soft">${dayTime(change.at)}${change.station_part ? ` · ${change.station_part}` : ""}${change.entered_by ? ` · ${change.entered_by}` : ""}</span></li>`)}</ul>
        </section>
        ${may("manager") ? this.form() : nothing}
      </div>
    </div>`;
  }

  private form() {
    return html`<section class="sheet"><h2>${say("changes.new")}</h2>
      <form class="fields" @submit=${this.add}>
        <label class="whole">${say("changes.what")}<textarea name="what" required maxlength="2000"></textarea><span class="field-hint">${say("changes.what_hint")}</span></label>
        <label>${say("changes.part")}<input name="station_part" maxlength="200"></label>
        <label>${say("changes.at")}<input name="at" type="datetime-local"><span class="field-hint">${say("changes.at_hint")}</span></label>
        <button class="main">${say("changes.keep")}</button>
      </form>
    </section>`;
  }
}
