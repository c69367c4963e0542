// How the station is, line by line, when somebody asks: good, or what to do.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get } from "../api/client";
import type { Check } from "../api/station_types";
import { say, sayOf } from "../words/words";
import { Part, toldLine, troubleOf } from "./part";

const signs = { good: "✓", look: "●", bad: "▲" } as const;
const looks = { good: "within", look: "", bad: "over" } as const;

@customElement("station-check")
export class StationCheck extends Part {
  @state() private checks: Check[] | null = null;
  @state() private busy = false;
  @state() private trouble: unknown = null;

  private async check() {
    this.busy = true;
    this.trouble = null;
    try {
      this.checks = (await get<{ checks: Check[] }>("/station/checks")).checks;
    } catch (error) {
      this.trouble = error;
    }
    this.busy = false;
  }

  override render() {
    return html`<div class="title"><h2>${say("station.check")}</h2><button data-check ?disabled=${this.busy} @click=${this.check}>${say(this.busy ? "station.checking" : "station.check_now")}</button></div>
      <p class="small soft">${say("station.check_is")}</p>
      ${troubleOf(this.trouble)}
      <ul class="reasons" aria-live="polite">${this.checks?.map((line) => html`<li class="check" data-check-state=${line.state}>
        <span class="tag ${looks[line.state]}">${signs[line.state]} ${sayOf("check", line.state)}</span>
        <span><strong>${toldLine(line.what)}</strong>: ${toldLine(line.words)}${line.do ? html`<br><span class="small">${toldLine(line.do)}</span>` : nothing}</span></li>`)}</ul>`;
  }
}
