// Lots and notes: whose animals these are, and what held for a while.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, may, post } from "../api/client";
import type { JournalEntry } from "../api/types";
import { Part, troubleOf } from "../parts/part";
import { dayTime, say } from "../words/words";

@customElement("lots-page")
export class LotsPage extends Part {
  @state() private lots: JournalEntry[] | null = null;
  @state() private notes: JournalEntry[] = [];
  @state() private trouble: unknown = null;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  private async load() {
    try {
      this.lots = (await get<{ lots: JournalEntry[] }>("/lots")).lots;
      this.notes = (await get<{ notes: JournalEntry[] }>("/notes")).notes;
    } catch (error) {
      this.trouble = error;
    }
  }
  private async send(path: string, body: unknown) {
    this.trouble = null;
    try {
      await post(path, body);
      await this.load();
    } catch (error) {
      this.trouble = error;
    }
  }
  private addLot = async (event: SubmitEvent) => {
    event.preventDefault();
    const form = event.target as HTMLFormElement;
    await this.send("/lots", { name: String(new FormData(form).get("name")) });
    form.reset();
  };
  private addNote = async (event: SubmitEvent) => {
    event.preventDefault();
    const form = event.target as HTMLFormElement;
    await this.send("/notes", { text: String(new FormData(form).get("text")) });
    form.reset();
  };

  override render() {
    const writes = may("manager");
    return html`<div class="stack"><h1>${say("lots.title")}</h1>
      ${troubleOf(this.trouble)}
      <div class="grid-2">
        <section class="sheet stack"><h2>${say("place.lots")}</h2>
          ${writes ? html`<form class="row low" @submit=${this.addLot}><label>${say("lots.next")}<input name="name" required maxlength="200"></label><button class="main">${say("lots.begin")}</button>
            <button type="button" @click=${() => void this.send("/lots/end", {})}>${say("lots.end")}</button></form>` : nothing}
          ${this.list(this.lots ?? [], "lots")}
        </section>
        <section class="sheet stack"><h2>${say("lots.notes")}</h2>
          ${writes ? html`<form class="stack" @submit=${this.addNote}><label>${say("lots.note")}<textarea name="text" required maxlength="2000"></textarea><span class="field-hint">${say("lots.note_hint")}</span></label><div><button class="main">${say("lots.keep")}</button></div></form>` : nothing}
          ${this.list(this.notes, "notes")}
        </section>
      </div></div>`;
  }
  private list(entries: JournalEntry[], kind: "lots" | "notes") {
    if (entries.length === 0) return html`<p class="empty">${say("lots.none")}</p>`;
    return html`<ul class="reasons boxed" tabindex="0" aria-label=${say(kind === "lots" ? "place.lots" : "lots.notes")}>${entries.map((entry) => html`<li class="entry"><span><strong>${entry.kind === "lot_end" ? say("lots.ended") : entry.text}</strong><br>
      <span class="small soft">${dayTime(entry.at)}${entry.until ? ` – ${dayTime(entry.until)}` : ""}${entry.entered_by ? ` · ${entry.entered_by}` : ""}</span></span>
      ${may("manager") ? html`<button class="plain" @click=${() => confirm(say("lots.sure")) && void this.send(`/${kind}/${entry.entry_id}/withdraw`, {})}>${say("lots.withdraw")}</button>` : nothing}</li>`)}</ul>`;
  }
}
