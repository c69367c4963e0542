// Every shift: a calendar of a month, a run chart, a table.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, query } from "../api/client";
import type { Chart, ShiftSummary } from "../api/types";
import { chartOf } from "../parts/chart_of";
import { verdictTag } from "../parts/share_figure";
import { Part, troubleOf } from "../parts/part";
import { dateOf, day, hourMinute, month, number, percent, say, sayMany, share, shiftName, shortDay, weekday } from "../words/words";

const asked = 400;
const charted = 60;

@customElement("shifts-page")
export class ShiftsPage extends Part {
  @state() private shifts: ShiftSummary[] | null = null;
  @state() private trouble: unknown = null;
  @state() private chart: Chart | null = null;
  @state() private shownMonth = "";
  @state() private more = false;

  override connectedCallback() {
    super.connectedCallback();
    void this.load();
  }
  private async load(before?: number) {
    const chart = before ? null : get<Chart>(`/chart${query({ most: charted })}`); // at the same time
    chart?.catch(() => {});
    try {
      const { shifts } = await get<{ shifts: ShiftSummary[] }>(`/shifts${query({ most: asked, before })}`);
      this.shifts = [...(before ? (this.shifts ?? []) : []), ...shifts];
      this.more = shifts.length === asked;
      if (!this.shownMonth) this.shownMonth = dateOf(this.shifts[0]?.start ?? new Date().toISOString()).slice(0, 7);
      if (chart) this.chart = await chart;
    } catch (error) {
      this.trouble = error;
    }
  }
  private async turn(by: number) {
    const at = new Date(`${this.shownMonth}-15T12:00:00Z`);
    at.setUTCMonth(at.getUTCMonth() + by);
    this.shownMonth = at.toISOString().slice(0, 7);
    const oldest = this.shifts?.at(-1);
    if (this.more && oldest?.start && dateOf(oldest.start).slice(0, 7) >= this.shownMonth) await this.load(oldest.shift_id);
  }

  override render() {
    const trouble = troubleOf(this.trouble);
    if (!this.shifts || !this.shownMonth) {
      return this.trouble ? trouble : html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    }
    const ofMonth = this.shifts.filter((shift) => !shift.start || dateOf(shift.start).slice(0, 7) === this.shownMonth);
    const shifts = ofMonth.filter((shift) => !isIdle(shift));
    const idle = ofMonth.length - shifts.length;
    const charted = this.chart?.shifts.filter((shift) => shift.percent !== null).length ?? 0;
    return html`<div class="stack">
      <h1>${say("place.shifts")}</h1>
      ${trouble}
      ${this.shifts.length === 0 ? html`<p class="empty">${say("shifts.none")}</p>` : nothing}
      ${this.chart ? html`<section class="sheet"><div class="title"><h2>${say("shifts.chart", { n: charted })}</h2></div>${chartOf(this.chart)}
        <p class="small soft">${say("chart.limits_are")}</p></section>` : nothing}
      <div class="grid-2 side">
        <section class="sheet stays">${this.calendar(shifts)}</section>
        <section class="sheet">${this.table(shifts)}
          ${idle ? html`<p class="small soft" data-idle=${idle}>${sayMany("shifts.idle", idle)}</p>` : nothing}</section>
      </div>
    </div>`;
  }

  private calendar(shifts: ShiftSummary[]) {
    const first = new Date(`${this.shownMonth}-01T12:00:00Z`);
    const before = (first.getUTCDay() + 6) % 7; // weeks begin on Monday
    const days = new Date(Date.UTC(first.getUTCFullYear(), first.getUTCMonth() + 1, 0)).getUTCDate();
    const ofDay = new Map<string, ShiftSummary[]>();
    for (const shift of shifts) {
      if (!shift.start) continue;
      const date = dateOf(shift.start);
      ofDay.set(date, [...(ofDay.get(date) ?? []), shift]);
    }
    return html`<div class="title calendar-title">
        <h2>${month(`${this.shownMonth}-15T12:00:00Z`)} <span class="small soft">${say("shifts.in_percent")}</span></h2>
        <div class="row"><button @click=${() => void this.turn(-1)} aria-label=${say("shifts.earlier")}>‹</button>
          <button @click=${() => void this.turn(1)} aria-label=${say("shifts.later")}>›</button></div>
      </div>
      <div class="calendar">
        ${[0, 1, 2, 3, 4, 5, 6].map((i) => html`<span class="weekday">${weekday(i)}</span>`)}
        ${Array.from({ length: before }, () => html`<span></span>`)}
        ${Array.from({ length: days }, (_, i) => {
          const found = ofDay.get(`${this.shownMonth}-${String(i + 1).padStart(2, "0")}`) ?? [];
          return html`<div class="date ${found.length ? "" : "none"}">${i + 1}${found.map(dayLink)}</div>`;
        })}
      </div>
      <p class="key" aria-hidden="true"><span><span class="over-sign">▲</span> ${say("share.over")}</span>
        ${shifts.some((shift) => shift.state === "open") ? html`<span>○ ${say("chart.open")}</span>` : nothing}</p>`;
  }

  private table(shifts: ShiftSummary[]) {
    return html`<div class="wide" tabindex="0" role="region" aria-label=${say("shifts.table")}><table class="close">
      <caption>${say("shifts.table")}</caption>
      <thead><tr><th>${say("shifts.shift")}</th><th class="num">${say("shifts.cried")}<br>${say("shifts.interval")}</th>
        <th class="num">${say("shifts.animals")}<br>${say("shifts.heard")}</th><th class="wide-only">${say("shifts.verdict")}</th></tr></thead>
      <tbody>${shifts.map(tableRow)}</tbody>
    </table></div>`;
  }
}

/** Between the shifts of the plan nothing runs, as a rule. */
const isIdle = (shift: ShiftSummary) => shift.shift === "outside" && shift.state === "closed" && !shift.passages;

function dayLink(shift: ShiftSummary) {
  const open = shift.state === "open";
  const over = shift.verdict === "over_limit";
  const words = `${shiftName(shift.shift)}, ${day(shift.start)}: ${percent(shift.percent)}`;
  const state = `${over ? `, ${say("share.over")}` : ""}${open ? `, ${say("chart.open")}` : ""}`;
  return html`<a href="/shifts/${shift.shift_id}" class=${over ? "over" : ""} aria-label="${words}${state}">
    ${over ? html`<span>▲</span>` : nothing}${open ? html`<span>○</span>` : nothing}
    ${shift.percent !== null ? html`<span>${number(shift.percent, shift.percent < 99.95 ? 1 : 0)}</span>` : open ? nothing : html`<span>–</span>`}</a>`;
}

function tableRow(shift: ShiftSummary) {
  const state = shift.state === "open" ? html`<span class="tag">${say("shifts.open")}</span>` : verdictTag(shift);
  const span = shift.percent === null ? "–" : `${number(shift.percent_low ?? 0, 1)} – ${percent(shift.percent_high)}`;
  return html`<tr>
    <td class="when"><a href="/shifts/${shift.shift_id}">${shortDay(shift.start)}</a><br>
      <span class="small soft">${shiftName(shift.shift)}, ${hourMinute(shift.start)}–${shift.end ? hourMinute(shift.end) : say("shifts.open")}</span></td>
    <td class="num"><strong>${percent(shift.percent)}</strong><span class="narrow-only"><br>${state}</span><br><span class="small soft">${span}</span></td>
    <td class="num">${shift.vocal ?? "–"} / ${shift.scored ?? "–"}<br><span class="small soft">${share(shift.coverage?.time_heard)}</span></td>
    <td class="wide-only">${state}</td>
  </tr>`;
}
