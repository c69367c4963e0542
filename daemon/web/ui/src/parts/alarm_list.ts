// Open alarms, each with what it is, since when, what to do, and who sees to it.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { may, post, RequestFailed } from "../api/client";
import type { Alarm } from "../api/types";
import { dayTime, hourMinute, say, sayMany, sayOf } from "../words/words";
import { Part, toldLine, troubleOf } from "./part";
import { alarmSign, calmSign } from "./signs";

const ofAnAnimal = ["call_after_stun", "may_be_after_stun", "second_stun", "hold_too_long"];

@customElement("alarm-list")
export class AlarmList extends Part {
  @property({ attribute: false }) alarms: Alarm[] = [];
  @state() private busy = 0;
  @state() private trouble: unknown = null;

  private async acknowledge(alarm: Alarm) {
    this.busy = alarm.alarm;
    this.trouble = null;
    try {
      await written(() => post(`/alarms/${alarm.alarm}/acknowledge`));
      this.alarms = this.alarms.map((known) => (known === alarm ? { ...known, state: "acknowledged" } : known));
    } catch (error) {
      this.trouble = error;
    }
    this.busy = 0;
  }

  override render() {
    const first = (alarm: Alarm) => (alarm.state === "raised" ? 0 : 10) + (alarm.severity === "at_once" ? 0 : 1);
    const sorted = [...this.alarms].sort((a, b) => first(a) - first(b) || b.raised.localeCompare(a.raised));
    return html`<h2>${say("alarms.title")}</h2>
      <div class="stack" aria-live="assertive">
        ${troubleOf(this.trouble)}
        ${sorted.length === 0 ? html`<p class="calm">${calmSign}${say("alarms.none")}</p>` : nothing}
        ${sorted.map((alarm) => this.one(alarm))}
      </div>`;
  }

  private one(alarm: Alarm) {
    const sameDay = alarm.raised.slice(0, 10) === alarm.last_change.slice(0, 10);
    return html`<section class="alarm ${alarm.severity === "soon" ? "soon" : ""} ${alarm.state === "raised" ? "" : "seen"}" data-alarm=${alarm.alarm}>
      <p class="head">${alarmSign}<span>${sayOf("alarm", alarm.cause)}</span></p>
      <p>${toldLine(alarm.what)}</p>
      ${ofAnAnimal.includes(alarm.cause) ? html`<p class="caution">${say("alarms.check_animal")}</p>` : nothing}
      <p class="small">${sayOf("alarm_do", alarm.cause)}</p>
      <div class="row between">
        <span class="small soft">${say("alarms.since", { time: sameDay ? hourMinute(alarm.raised) : dayTime(alarm.raised) })}${alarm.count > 1 ? ` · ${sayMany("alarms.times", alarm.count)}` : ""}</span>
        ${alarm.state === "acknowledged"
          ? html`<span class="tag">✓ ${say("alarms.seen_by", { name: alarm.acknowledged_by ?? "" })}</span>`
          : may("reviewer")
            ? html`<button class="warn" ?disabled=${this.busy === alarm.alarm} @click=${() => void this.acknowledge(alarm)}>${say("alarms.acknowledge")}</button>`
            : nothing}
      </div>
    </section>`;
  }
}

/** An alarm is shown before it is written: what comes too early is asked again. */
async function written<T>(ask: () => Promise<T>): Promise<T> {
  for (let tries = 0; ; ++tries) {
    try {
      return await ask();
    } catch (error) {
      if (!(error instanceof RequestFailed) || error.status !== 503 || tries === 20) throw error;
      await new Promise((resolve) => setTimeout(resolve, 500));
    }
  }
}
