// The station itself: is it hearing, do the contacts work, what is it set to.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, may, post, query } from "../api/client";
import { LiveFeed } from "../api/live_feed";
import "../parts/station_check";
import type { Profile, ProfileComparison, Profiles, Reload, StationContact, StationFacts, StationMicrophone } from "../api/station_types";
import { Part, toldLine, troubleOf } from "../parts/part";
import { clock, dayTime, level as levelOf, number, say, sayMany, sayOf, seconds } from "../words/words";

@customElement("station-page")
export class StationPage extends Part {
  @state() private facts: StationFacts | null = null;
  @state() private reload: Reload | null = null;
  @state() private shelf: Profiles | null = null;
  @state() private said = "";
  @state() private against: { profile: Profile; differences: ProfileComparison["differences"] } | null = null;
  @state() private trouble: unknown = null;
  private feed = new LiveFeed(() => this.requestUpdate());

  override connectedCallback() {
    super.connectedCallback();
    this.feed.start();
    void this.load();
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    this.feed.stop();
  }
  private async load() {
    const others = Promise.all([get<Reload>("/station/reload"), get<Profiles>("/profiles")]); // at the same time
    others.catch(() => {});
    try {
      this.facts = await get<StationFacts>("/station");
      [this.reload, this.shelf] = await others;
    } catch (error) {
      this.trouble = error;
    }
  }
  private async compare(profile: Profile) {
    const used = this.shelf?.profiles.find((one) => one.in_use);
    if (!used) return;
    try {
      const { differences } = await get<ProfileComparison>(`/profiles/compare${query({ a: used.sha256, b: profile.sha256 })}`);
      this.against = { profile, differences };
    } catch (error) {
      this.trouble = error;
    }
  }

  /** What alters the station is asked once more, then told. */
  private async alter(sure: string, path: string, body: unknown, done: string) {
    if (!confirm(sure)) return;
    this.trouble = null;
    try {
      await post(path, body);
      this.said = done;
      await this.load();
    } catch (error) {
      this.trouble = error;
    }
  }

  override render() {
    const trouble = troubleOf(this.trouble);
    const facts = this.facts;
    if (!facts) return this.trouble ? trouble : html`<p class="empty" aria-busy="true">${say("frame.loading")}</p>`;
    return html`<div class="stack"><h1>${say("place.station")} ${facts.name}</h1>${trouble}<p role="status" ?hidden=${!this.said}>${this.said}</p>
      <div class="grid-many">${facts.microphones.map((microphone) => this.microphone(microphone))}</div>
      ${this.contacts(facts.contacts)}
      <station-check class="sheet stack"></station-check>
      <div class="grid-2">${this.machine(facts)}${this.ledger(facts)}</div>
      ${this.profileList()}
      ${this.settings(facts)}
    </div>`;
  }

  private microphone(microphone: StationMicrophone) {
    const live = this.feed.live?.levels.find((level) => level.microphone === microphone.name);
    const { minute, calibration } = microphone;
    const level = live?.level_db ?? minute?.level_db ?? null;
    const unit = live?.unit ?? minute?.unit ?? "";
    const troubles = minute ? (["silent_s", "clipped_s", "hum_s", "wind_s", "covered_s", "level_far_s"] as const).filter((key) => minute[key] > 0) : [];
    return html`<section class="sheet"><div class="title"><h2>${say("station.microphone", { name: microphone.name })}</h2><span class="small soft">${microphone.device}</span></div>
      <p class="reading"><span class="value" data-level=${microphone.name}>${levelOf(level, unit)}</span></p>
      <p>${troubles.length === 0 ? html`<span class="tag within">✓ ${say("station.hears")}</span>` : troubles.map((key) => html`<span class="tag over">${sayOf("health", key)} ${seconds(minute?.[key], 0)}</span> `)}</p>
      <dl class="facts small">
        <dt>${say("station.background")}</dt><dd>${levelOf(minute?.background_db, minute?.unit ?? "")}</dd>
        <dt>${say("station.calibrated")}</dt><dd>${calibration ? `${calibration.calibrated_at ? dayTime(calibration.calibrated_at) : say("station.by_file")}${calibration.drift_db === null ? "" : ` · ${say("station.drift", { db: number(calibration.drift_db, 1) })}`}` : say("station.never")}</dd>
      </dl></section>`;
  }

  private contacts(contacts: StationContact[]) {
    return html`<section class="sheet"><h2>${say("station.contacts")}</h2><p class="soft small">${say("station.wiring")}</p>
      <div class="wide" tabindex="0" role="region" aria-label=${say("station.contacts")}><table><thead><tr><th>${say("station.contact")}</th><th>${say("station.state")}</th><th>${say("station.last_edge")}</th><th>${say("station.input")}</th></tr></thead>
      <tbody>${contacts.map((contact) => {
        const live = this.feed.live?.contacts.find((edge) => edge.role === contact.role);
        const closed = live?.closed ?? contact.edge?.closed;
        return html`<tr><td class="strong">${sayOf("contact", contact.role)}</td>
          <td data-contact=${contact.role}>${contact.fault ? html`<span class="tag over">▲ ${sayOf("fault", contact.fault.what)}</span>` : closed === undefined ? "–" : closed ? html`<span class="tag within">● ${say("station.closed")}</span>` : html`<span class="tag">○ ${say("station.open")}</span>`}</td>
          <td>${clock(live?.time ?? contact.edge?.utc)}</td><td class="small soft">${contact.input}${contact.inverted ? ` (${say("station.inverted")})` : ""}</td></tr>`;
      })}</tbody></table></div></section>`;
  }

  private machine(facts: StationFacts) {
    const { disk } = facts;
    return html`<section class="sheet"><h2>${say("station.machine")}</h2><dl class="facts">
      <dt>${say("station.clock")}</dt><dd>${dayTime(facts.clock.utc)} (${facts.clock.timezone})</dd>
      <dt>${say("station.behind")}</dt><dd>${seconds(facts.clock.behind_s)}</dd>
      ${disk ? html`<dt>${say("station.disk")}</dt><dd>${say("station.free", { free: number(disk.free_mb / 1000, 1), total: number(disk.total_mb / 1000, 1) })}</dd>` : nothing}
      <dt>${say("station.version")}</dt><dd>quietpass ${facts.versions.quietpass}</dd></dl></section>`;
  }
  private ledger(facts: StationFacts) {
    return html`<section class="sheet"><h2>${say("station.records")}</h2><dl class="facts">
      <dt>${say("station.record_count")}</dt><dd>${number(facts.ledger.records)}</dd>
      <dt>${say("station.signed")}</dt><dd>${number(facts.ledger.signed_records)}, ${dayTime(facts.ledger.signed)}</dd>
      <dt>${say("station.key")}</dt><dd class="small">${facts.ledger.key_id ?? "–"}</dd>
      <dt>${say("station.head")}</dt><dd class="small">${facts.ledger.head ?? "–"}</dd></dl></section>`;
  }
  private profileList() {
    return html`<section class="sheet stack"><h2>${say("station.profiles")}</h2><p class="soft small">${say("station.profiles_are")}</p>
      <ul class="reasons">${this.shelf?.profiles.map((profile) => html`<li class="entry"><span><strong>${profile.name ?? profile.file}</strong> ${profile.version ?? ""} ${profile.in_use ? html`<span class="tag within">✓ ${say("station.in_use")}</span>` : nothing}<br><span class="small soft">${toldLine(profile.wrong ?? profile.about)}</span>${this.choice(profile)}</span>
        ${profile.in_use || profile.wrong ? nothing : html`<span class="row">${this.useButton(profile)}<button @click=${() => void this.compare(profile)}>${say("station.compare")}</button></span>`}</li>`)}</ul>
      ${this.against ? html`<h3>${say("station.differences", { name: this.against.profile.name ?? this.against.profile.file })}: ${sayMany("station.lines", this.against.differences.length)}</h3>
        <div class="wide" tabindex="0" role="region" aria-label=${say("station.profiles")}><table><tbody>${this.against.differences.slice(0, 100).map((line) => html`<tr><td class="small">${line.key}</td><td class="small">${line.a ?? "–"}</td><td class="small">${line.b ?? "–"}</td></tr>`)}</tbody></table></div>` : nothing}
      ${this.waits() ? html`<p>${say("station.profile_waits")}</p>${this.takeButton()}` : nothing}
    </section>`;
  }
  /** Whether the profile that was chosen last waits for a reload. */
  private waits(): boolean {
    const last = this.shelf?.choices[0];
    return !!last && !this.shelf?.named_by_file && !!this.shelf?.profiles.some((profile) => profile.sha256 === last.sha256 && !profile.in_use);
  }
  private takeButton() {
    if (!may("administrator")) return nothing;
    return html`<div><button class="main" data-take @click=${() => void this.alter(say("station.take_sure"), "/station/reload", {}, say("station.taken"))}>${say("station.take")}</button></div>`;
  }
  private choice(profile: Profile) {
    const last = this.shelf?.choices.find((choice) => choice.sha256 === profile.sha256);
    return last ? html`<br><span class="small">${say("station.chosen_by", { who: last.by, when: dayTime(last.at) })}</span>` : nothing;
  }
  private useButton(profile: Profile) {
    if (!may("administrator") || this.shelf?.named_by_file || profile.species !== this.facts?.species) return nothing;
    return html`<button @click=${() => void this.alter(say("station.use_sure"), "/profiles/use", { sha256: profile.sha256 }, say("station.used"))}>${say("station.use")}</button>`;
  }
  private settings(facts: StationFacts) {
    const reload = this.reload;
    return html`<section class="sheet stack"><h2>${say("station.settings")}</h2><p class="soft small">${say("station.in_file", { file: facts.settings.file })}</p>
      ${reload?.wrong ? html`<p class="trouble" lang="en">${reload.wrong}</p>` : nothing}
      ${reload && !reload.same && !reload.wrong ? html`<h3>${say("station.would_change")}</h3><table><tbody>${reload.changes.map((line) => html`<tr><td>${line.key}</td><td>${line.now ?? "–"} → <strong>${line.then ?? "–"}</strong></td><td class="soft small">${say("station.line", { n: line.line })}</td></tr>`)}</tbody></table>
        ${this.takeButton()}` : nothing}
      ${reload?.same ? html`<p><span class="tag within">✓ ${say("station.same")}</span></p>` : nothing}
      <details class="settings"><summary class="button">${sayMany("station.lines", facts.settings.lines.length)}</summary><div class="wide" tabindex="0" role="region" aria-label=${say("station.settings")}><table><tbody>${facts.settings.lines.map((line) => html`<tr><td class="small">${line.key}</td><td class="small">${line.value}</td><td class="soft small num">${say("station.line", { n: line.line })}</td></tr>`)}</tbody></table></div></details>
    </section>`;
  }
}
