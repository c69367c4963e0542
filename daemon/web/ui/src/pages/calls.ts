// Every call: a list by filters, and beside it the one that is heard and judged.
import { html, nothing } from "lit";
import { customElement, property, state } from "lit/decorators.js";
import { get, query } from "../api/client";
import type { ListedCall } from "../api/types";
import "../parts/call_desk";
import { Part, troubleOf } from "../parts/part";
import { go } from "../places";
import { clock, say, sayOf, shortDay } from "../words/words";

const most = 100;
/** One column: the call that is chosen comes before the list. */
const narrow = window.matchMedia("(max-width: 999px)");
interface Chosen {
  shift_id: number;
  call_id: number;
}
const filters = {
  judged: ["", "0", "1"],
  counted: ["", "1", "0"],
  phase: ["", "entry", "body_held", "held", "at_stun", "after_stun"],
  kind: ["", "moo", "bellow", "squeal", "grunt"],
} as const;

@customElement("calls-page")
export class CallsPage extends Part {
  @property({ attribute: false }) values: Record<string, string> = {};
  @state() private calls: ListedCall[] | null = null;
  @state() private more = false;
  @state() private trouble: unknown = null;
  private asked = "";

  override connectedCallback() {
    super.connectedCallback();
    window.addEventListener("popstate", this.changed);
    void this.load();
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    window.removeEventListener("popstate", this.changed);
  }
  private changed = () => {
    if (location.search !== this.asked) void this.load();
  };

  private async load(after?: ListedCall) {
    this.asked = location.search;
    const wished = Object.fromEntries(new URLSearchParams(location.search));
    try {
      const { calls } = await get<{ calls: ListedCall[] }>(`/calls${query({ ...wished, most, before_shift: after?.shift_id, before_call: after?.call_id })}`);
      this.calls = [...(after ? (this.calls ?? []) : []), ...calls];
      this.more = calls.length === most;
      this.trouble = null;
    } catch (error) {
      this.trouble = error;
    }
  }

  override updated(changed: Map<string, unknown>) {
    if (changed.has("values") && narrow.matches && this.chosen()) window.scrollTo({ top: 0 });
  }
  private filter(name: string, value: string) {
    const wished = new URLSearchParams(location.search);
    if (value) wished.set(name, value);
    else wished.delete(name);
    go(`/calls${wished.size ? `?${wished}` : ""}`);
  }
  private chosen() {
    const { shift, call } = this.values;
    return shift && call ? { shift_id: Number(shift), call_id: Number(call) } : null;
  }
  private step(by: number) {
    const calls = this.calls ?? [];
    const chosen = this.chosen();
    const at = calls.findIndex((call) => isSame(call, chosen));
    const next = calls[at < 0 ? 0 : at + by];
    if (next) go(`/calls/${next.shift_id}/${next.call_id}${location.search}`, true);
  }
  private judged(event: CustomEvent<{ shift_id: number; call_id: number; verdict: ListedCall["verdict"] }>) {
    this.calls = (this.calls ?? []).map((call) => (isSame(call, event.detail) ? { ...call, verdict: event.detail.verdict } : call));
  }

  override render() {
    const chosen = this.chosen();
    const wished = new URLSearchParams(location.search);
    return html`<div class="stack">
      <h1>${say("place.calls")}</h1>
      <div class="fields tight">${Object.entries(filters).map(([name, options]) => html`<label>${sayOf("filter", name)}
          <select .value=${wished.get(name) ?? ""} @change=${(event: Event) => this.filter(name, (event.target as HTMLSelectElement).value)}>
            ${options.map((option) => html`<option value=${option} ?selected=${option === (wished.get(name) ?? "")}>${optionWord(name, option)}</option>`)}
          </select></label>`)}
        ${wished.get("shift") ? html`<button @click=${() => this.filter("shift", "")}>${say("calls.of_shift", { n: wished.get("shift") ?? "" })} ✕</button>` : nothing}
        ${wished.get("passage") ? html`<button @click=${() => this.filter("passage", "")}>${say("calls.of_passage", { n: wished.get("passage") ?? "" })} ✕</button>` : nothing}
      </div>
      ${troubleOf(this.trouble)}
      <div class="split">${narrow.matches && chosen ? [this.desk(chosen), this.listed(chosen)] : [this.listed(chosen), this.desk(chosen)]}</div>
    </div>`;
  }

  private listed(chosen: Chosen | null) {
    return html`<section class="sheet">${this.list(chosen)}</section>`;
  }
  private desk(chosen: Chosen | null) {
    return html`<section class="sheet">${chosen
          ? html`<call-desk .shiftId=${chosen.shift_id} .callId=${chosen.call_id} @judged=${this.judged} @next=${() => this.step(1)} @previous=${() => this.step(-1)}></call-desk>`
          : html`<p class="empty">${say("calls.choose")}<br>${say("desk.keys")}</p>`}</section>`;
  }

  private list(chosen: Chosen | null) {
    if (!this.calls) return html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    if (this.calls.length === 0) return html`<p class="empty">${say("calls.none")}</p>`;
    return html`<div class="wide" tabindex="0" role="region" aria-label=${say("place.calls")}><table>
        <thead><tr><th>${say("calls.when")}</th><th>${say("calls.what")}</th><th>${say("calls.where")}</th></tr></thead>
        <tbody>${this.calls.map((call) => html`<tr aria-selected=${isSame(call, chosen)}>
          <td class="when"><a href="/calls/${call.shift_id}/${call.call_id}${location.search}">${clock(call.start)}</a><br><span class="small soft">${shortDay(call.start)}</span></td>
          <td>${sayOf("call", call.call)}<br><span class="small soft">${call.counted ? say("calls.counted") : say("calls.not_counted")}</span>${call.verdict ? html`<br><span class="tag">✓ ${sayOf("verdict", call.verdict)}</span>` : nothing}</td>
          <td>${call.phase ? sayOf("phase", call.phase) : "–"}<br><span class="small soft">${call.passage_id === null ? say("calls.no_animal") : say("calls.animal", { n: String(call.passage_id) })}</span></td>
        </tr>`)}</tbody>
      </table></div>
      ${this.more ? html`<button @click=${() => void this.load(this.calls?.at(-1))}>${say("frame.more")}</button>` : nothing}`;
  }
}

const isSame = (call: { shift_id: number; call_id: number }, other: { shift_id: number; call_id: number } | null) =>
  other !== null && call.shift_id === other.shift_id && call.call_id === other.call_id;

function optionWord(filter: string, option: string) {
  if (option === "") return say("filter.all");
  if (filter === "phase") return sayOf("phase", option);
  if (filter === "kind") return sayOf("call", option);
  return sayOf(`filter.${filter}`, option);
}
