// A person scores animals as they come: silent or vocal, two big buttons. Then the person against the machine.
// Each score is posted by itself with a number of its own, so that one sent twice counts once; what can't be sent waits.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, post, whoIsHere } from "../api/client";
import type { AuditComparison, HandAudit, HandAuditInFull, Score } from "../api/journal_types";
import { LiveFeed } from "../api/live_feed";
import { criedSign, silentSign } from "../parts/signs";
import { Part, troubleOf } from "../parts/part";
import { clock, dayTime, number, say, sayMany, sayOf } from "../words/words";

interface Waiting {
  id: string;
  vocal: boolean;
  shift_id?: number;
  passage_id?: number;
  at?: string;
}

@customElement("audit-page")
export class AuditPage extends Part {
  @state() private audits: HandAudit[] | null = null;
  @state() private audit: HandAuditInFull | null = null;
  @state() private compared: AuditComparison | null = null;
  @state() private comparedId = 0;
  @state() private waiting: Waiting[] = [];
  @state() private trouble: unknown = null;
  private feed = new LiveFeed(() => this.requestUpdate());
  private sending = false;
  private timer = 0;

  override connectedCallback() {
    super.connectedCallback();
    this.feed.start();
    this.timer = window.setInterval(() => void this.send(), 3000);
    void this.load();
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    clearInterval(this.timer);
    this.feed.stop();
  }

  private async load() {
    try {
      this.audits = (await get<{ audits: HandAudit[] }>("/handaudits")).audits;
      const mine = this.audits.find((audit) => audit.state === "open" && audit.entered_by === whoIsHere()?.name);
      this.audit = mine ? await get<HandAuditInFull>(`/handaudits/${mine.audit_id}`) : null;
    } catch (error) {
      this.trouble = error;
    }
  }
  private async begin() {
    try {
      await post("/handaudits", { id: newId() });
      this.compared = null;
      await this.load();
    } catch (error) {
      this.trouble = error;
    }
  }

  /** The animal in the station now, or the last that went through. */
  private animal() {
    const live = this.feed.live;
    const last = live?.passages.at(-1);
    const shift = live?.share?.shift_id ?? last?.shift_id;
    if (live?.now?.passage_id && shift) return { shift_id: shift, passage_id: live.now.passage_id, inside: true };
    return last ? { shift_id: last.shift_id, passage_id: last.passage_id, inside: false } : null;
  }
  private alreadyScored() {
    const animal = this.animal();
    const is = (score: { shift_id?: number | null; passage_id?: number | null }) => animal !== null && score.shift_id === animal.shift_id && score.passage_id === animal.passage_id;
    return this.waiting.find(is) ?? this.audit?.scores.find(is) ?? null;
  }

  private score(vocal: boolean) {
    const animal = this.animal();
    const score: Waiting = { id: newId(), vocal, ...(animal ? { shift_id: animal.shift_id, passage_id: animal.passage_id } : { at: new Date().toISOString() }) };
    this.waiting = [...this.waiting, score];
    void this.send();
  }
  private async send() {
    if (this.sending || !this.audit) return;
    this.sending = true;
    try {
      for (let next = this.waiting[0]; next; next = this.waiting[0]) {
        const kept: Score = await post<Score>(`/handaudits/${this.audit.audit_id}/scores`, next);
        this.waiting = this.waiting.filter((score) => score !== next);
        this.audit = { ...this.audit, scores: [...this.audit.scores.filter((score) => score.score_id !== kept.score_id), kept] };
        this.trouble = null;
      }
    } catch (error) {
      this.trouble = error;
    }
    this.sending = false;
  }
  private async takeBack() {
    const last = this.audit?.scores.at(-1);
    if (!this.audit || !last?.score_id) return;
    try {
      await post(`/handaudits/${this.audit.audit_id}/scores/${last.score_id}/withdraw`);
      this.audit = { ...this.audit, scores: this.audit.scores.slice(0, -1) };
    } catch (error) {
      this.trouble = error;
    }
  }
  private async finish() {
    const audit = this.audit;
    if (!audit) return;
    await this.send();
    if (this.waiting.length) return;
    try {
      await post(`/handaudits/${audit.audit_id}/finish`);
      await this.load();
      await this.compare(audit.audit_id);
    } catch (error) {
      this.trouble = error;
    }
  }
  private async compare(id: number) {
    try {
      this.compared = await get<AuditComparison>(`/handaudits/${id}/comparison`);
      this.comparedId = id;
    } catch (error) {
      this.trouble = error;
    }
  }

  override render() {
    return html`<div class="stack"><h1>${say("place.audit")}</h1>
      ${troubleOf(this.trouble)}
      ${this.audit ? this.scoring(this.audit) : html`<section class="sheet stack"><p>${say("audit.what")}</p><div><button class="main" @click=${this.begin}>${say("audit.begin")}</button></div></section>`}
      ${this.compared ? this.comparison(this.compared) : nothing}
      ${this.past()}
    </div>`;
  }

  private scoring(audit: HandAuditInFull) {
    const animal = this.animal();
    const scored = this.alreadyScored();
    const vocal = audit.scores.filter((score) => score.vocal).length + this.waiting.filter((score) => score.vocal).length;
    const n = audit.scores.length + this.waiting.length;
    return html`<section class="sheet stack">
      <div class="title"><h2 data-animal=${animal?.passage_id ?? ""}>${animal ? say(animal.inside ? "audit.inside" : "audit.last", { n: String(animal.passage_id) }) : say("audit.no_animal")}</h2>
        <span class="soft" data-scored=${n}>${sayMany("audit.scored", n)}, ${say("audit.vocal", { n: vocal })}</span></div>
      <div class="two-big">
        <button class="silent" ?disabled=${scored !== null} @click=${() => this.score(false)}>${silentSign}${say("audit.silent")}</button>
        <button class="cried" ?disabled=${scored !== null} @click=${() => this.score(true)}>${criedSign}${say("audit.cried")}</button>
      </div>
      <p role="status">${scored ? say("audit.have", { what: say(scored.vocal ? "audit.cried" : "audit.silent") }) : say("audit.ask")}${this.waiting.length ? ` · ${sayMany("audit.waits", this.waiting.length)}` : ""}</p>
      <div class="row between">
        <button ?disabled=${audit.scores.length === 0} @click=${this.takeBack}>${say("audit.take_back")}</button>
        <button class="main" data-finish ?disabled=${n === 0} @click=${this.finish}>${say("audit.finish")}</button>
      </div>
      <p class="small soft">${say("audit.rule")}</p>
    </section>`;
  }

  private comparison(c: AuditComparison) {
    return html`<section class="sheet stack" data-compared=${this.comparedId}><h2>${say("audit.compared", { n: c.compared })}</h2>
      <table class="fit"><thead><tr><th></th><th class="num">${say("audit.machine_cried")}</th><th class="num">${say("audit.machine_silent")}</th></tr></thead><tbody>
        <tr><td>${say("audit.person_cried")}</td><td class="num">${number(c.vocal_to_both)}</td><td class="num">${number(c.vocal_to_person_only)}</td></tr>
        <tr><td>${say("audit.person_silent")}</td><td class="num">${number(c.vocal_to_machine_only)}</td><td class="num">${number(c.silent_to_both)}</td></tr></tbody></table>
      <dl class="facts">${c.figures.filter((figure) => figure.auditor === "" || c.figures.every((other) => other.auditor === figure.auditor)).map((figure) => html`<dt>${sayOf("agreement", figure.measure)}</dt><dd data-measure=${figure.measure}>${figure.value === null ? "–" : number(figure.value, 2)}${figure.low === null ? "" : ` (${number(figure.low, 2)} – ${number(figure.high ?? 0, 2)})`}</dd>`)}</dl>
      ${c.differences.length ? html`<h3>${say("audit.differences")}</h3><ul class="reasons">${c.differences.map((difference) => html`<li><a href="/calls?shift=${difference.shift_id}&passage=${difference.passage_id}">${say("strip.animal", { n: String(difference.passage_id), time: clock(difference.entered) })}</a>: ${say("audit.differs", { person: sayOf("heard", difference.person), machine: sayOf("heard", difference.machine) })}</li>`)}</ul>` : nothing}
      
    </section>`;
  }

  private past() {
    const past = (this.audits ?? []).filter((audit) => audit.state === "finished");
    if (past.length === 0) return nothing;
    return html`<section class="sheet"><h2>${say("audit.past")}</h2><ul class="reasons">${past.map((audit) => html`<li class="row between">
      <span>${dayTime(audit.finished ?? audit.started)} · ${audit.auditors} <span class="soft small">${sayMany("animals", audit.animals)}, ${say("audit.vocal", { n: audit.vocal })}</span></span>
      <button @click=${() => void this.compare(audit.audit_id)}>${say("audit.compare")}</button></li>`)}</ul></section>`;
  }
}

/** For the station to know a score that comes twice. */
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
