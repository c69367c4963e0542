// One shift in full: its figures as signed, what was found since, its calls and its papers.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { get, may } from "../api/client";
import type { Coverage, Shift } from "../api/types";
import { shareFigure } from "../parts/share_figure";
import { Part, troubleOf } from "../parts/part";
import { day, dayTime, hourMinute, languageNow, number, percent, say, sayExcluded, sayMany, sayOf, seconds, shiftName } from "../words/words";

type Counts = Record<string, number>;

@customElement("shift-page")
export class ShiftPage extends Part {
  @property({ attribute: false }) values: Record<string, string> = {};
  @state() private shift: Shift | null = null;
  @state() private trouble: unknown = null;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  private async load() {
    try {
      this.shift = await get<Shift>(`/shifts/${this.values["shift"]}`);
    } catch (error) {
      this.trouble = error;
    }
  }

  override render() {
    if (this.trouble) return troubleOf(this.trouble);
    const shift = this.shift;
    if (!shift) return html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    const record = shift.record ?? {};
    const not_scored = record["not_scored_because"] as string | null;
    return html`<div class="stack">
      <p><a href="/shifts">‹ ${say("place.shifts")}</a></p>
      <div class="title"><h1>${shiftName(shift.shift)}, ${day(shift.start)}</h1>
        <span class="soft">${hourMinute(shift.start)}–${shift.end ? hourMinute(shift.end) : say("shifts.open")}</span></div>
      <div class="grid-2">
        <section class="sheet">${shift.state === "open" ? html`<p class="empty">${say("shift.still_open")}</p>` : shareFigure(shift, not_scored)}
          ${record["basis"] ? html`<p class="small soft">${say("share.basis", { basis: String(record["basis"]) })}</p>` : nothing}
        </section>
        <section class="sheet stack">${this.facts(shift, record)}
          <div class="row">
            <a class="button" href="/calls?shift=${shift.shift_id}">${say("shift.see_calls")}</a>
            ${may("manager") && shift.state === "closed" ? ["pdf", "csv", "json"].map((format) => report(shift.shift_id, format)) : nothing}
          </div>
        </section>
      </div>
      ${this.byPhase(record)}
      ${this.amendments(shift)}
    </div>`;
  }

  private facts(shift: Shift, record: Record<string, unknown>) {
    const held = record["held_for_s"] as { median: number | null; p95: number | null; max: number | null } | undefined;
    const excluded = record["excluded"] as Counts | undefined;
    const coverage = shift.coverage as Coverage | null;
    const left_out = Object.entries(excluded ?? {}).filter(([, n]) => n > 0);
    return html`<h2>${say("shift.facts")}</h2><dl class="facts">
      <dt>${say("shift.passages")}</dt><dd>${number(shift.passages ?? 0)}</dd>
      <dt>${say("shift.scored")}</dt><dd>${number(shift.scored ?? 0)}</dd>
      ${left_out.map(([why, n]) => html`<dt>${say("shift.left_out")}</dt><dd>${number(n)}: ${sayExcluded(why)}</dd>`)}
      ${held && held.median !== null
        ? html`<dt>${say("shift.hold")}</dt><dd>${say("shift.held", { median: seconds(held.median), p95: seconds(held.p95), max: seconds(held.max) })}</dd>`
        : nothing}
      ${record["line_rate_per_hour"]
        ? html`<dt>${say("live.rate")}</dt><dd>${number(Number(record["line_rate_per_hour"]))} ${say("live.per_hour")}</dd>`
        : nothing}
      ${coverage ? html`<dt>${say("shift.contacts")}</dt><dd>${percent((coverage.contacts_known ?? 0) * 100, 0)}</dd>` : nothing}
      ${notHeard(record).map(([microphone, why, lost_s]) => {
        const words = say("shift.not_heard_of", { microphone, why: sayOf("gap", why), time: seconds(lost_s, 0) });
        return html`<dt>${say("shift.not_heard")}</dt><dd>${words}</dd>`;
      })}
      ${Object.entries((record["versions"] ?? {}) as Record<string, string>).map(([name, version]) => html`<dt>${name}</dt><dd class="small">${version}</dd>`)}
    </dl>`;
  }

  private byPhase(record: Record<string, unknown>) {
    const phases = Object.entries((record["by_phase"] ?? {}) as Record<string, { vocal_passages: number; counted_calls: number }>);
    if (phases.length === 0) return nothing;
    const after = record["calls_after_stun"];
    return html`<section class="sheet"><h2>${say("shift.where")}</h2>
      <div class="wide" tabindex="0" role="region" aria-label=${say("shift.where")}><table class="fit">
        <thead><tr><th>${say("shift.phase")}</th><th class="num">${say("shift.vocal")}</th><th class="num">${say("shift.calls")}</th></tr></thead>
        <tbody>${phases.map(([phase, n]) => html`<tr><td>${sayOf("phase", phase)}</td>
          <td class="num">${number(n.vocal_passages)}</td><td class="num">${number(n.counted_calls)}</td></tr>`)}
        ${typeof after === "number"
          ? html`<tr><td>${sayOf("phase", "after_stun")} <span class="soft small">${say("shift.not_in_share")}</span></td>
            <td class="num">–</td><td class="num">${number(after)}</td></tr>`
          : nothing}</tbody></table></div>
    </section>`;
  }

  private amendments(shift: Shift) {
    if (shift.amendments.length === 0) return nothing;
    return html`<section class="sheet"><h2>${sayMany("shift.amendments", shift.amendments.length)}</h2>
      <p class="soft small">${say("shift.amendments_are")}</p>
      <ul class="reasons">${shift.amendments.map((amendment) => {
        const reviewed = amendment["reviewed"] as { percent: number | null; vocal: number; scored: number } | undefined;
        const made = `${dayTime(String(amendment["made"]))} · ${String(amendment["entered_by"] ?? "")}`;
        return html`<li><strong>${say("shift.amendment", { n: Number(amendment["amendment"]) })}</strong> · ${made}:
          ${percent(reviewed?.percent)} (${reviewed?.vocal ?? "–"} / ${reviewed?.scored ?? "–"})</li>`;
      })}</ul>
    </section>`;
  }
}

function report(shift: number, format: string) {
  const address = `/api/v1/reports?shift=${shift}&format=${format}&language=${languageNow()}`;
  return html`<a class="button" href=${address} download>${say("shift.report", { format: format.toUpperCase() })}</a>`;
}

/** Of each microphone, for which cause it heard nothing that counts, and for how long. */
function notHeard(record: Record<string, unknown>): [string, string, number][] {
  const microphones = (record["microphones"] ?? []) as { name: string; not_heard_s: Counts }[];
  return microphones.flatMap(({ name, not_heard_s }) =>
    Object.entries(not_heard_s).map(([why, lost_s]): [string, string, number] => [name, why, lost_s]),
  );
}
