// The station itself: is it hearing, do the contacts work, what is it set to.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { get, may, post, query } from "../api/client";
import { LiveFeed } from "../api/live_feed";
import "../parts/station_check";
import type { Profile, ProfileComparison, Profiles, Reload, StationFacts } from "../api/station_types";
import { Part, toldLine, troubleOf } from "../parts/part";
import { contactSheet, microphoneSheet } from "../parts/station_inputs";
import { settingLines } from "../parts/setting_lines";
import { dayTime, number, say, sayMany, seconds } from "../words/words";

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
    return html`<div class="stack"><h1>${say("place.station")} ${facts.name}</h1>${trouble}
      <p role="status" ?hidden=${!this.said}>${this.said}</p>
      <div class="grid-many">${facts.microphones.map((microphone) => microphoneSheet(microphone, this.feed.live))}</div>
      ${contactSheet(facts.contacts, this.feed.live)}
      <station-check class="sheet stack"></station-check>
      <div class="grid-2">${this.machine(facts)}${this.ledger(facts)}</div>
      ${this.profileList()}
      ${this.settings(facts)}
    </div>`;
  }

  private machine(facts: StationFacts) {
    const { disk } = facts;
    const free = disk ? say("station.free", { free: number(disk.free_mb / 1000, 1), total: number(disk.total_mb / 1000, 1) }) : "";
    return html`<section class="sheet"><h2>${say("station.machine")}</h2><dl class="facts">
      <dt>${say("station.clock")}</dt><dd>${dayTime(facts.clock.utc)} (${facts.clock.timezone})</dd>
      <dt>${say("station.behind")}</dt><dd>${seconds(facts.clock.behind_s)}</dd>
      ${disk ? html`<dt>${say("station.disk")}</dt><dd>${free}</dd>` : nothing}
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
      <p class="soft small" data-about>${say("station.profiles_about")}</p>
      <ul class="reasons">${this.shelf?.profiles.map((profile) => this.profile(profile))}</ul>
      ${this.against ? this.differences(this.against) : nothing}
      ${this.waits() ? html`<p>${say("station.profile_waits")}</p>${this.takeButton()}` : nothing}
    </section>`;
  }
  private profile(profile: Profile) {
    return html`<li class="entry"><span><strong>${nameOf(profile)}</strong> ${profile.version ?? ""}
        ${profile.in_use ? html`<span class="tag within">✓ ${say("station.in_use")}</span>` : nothing}<br>
        <span class="small soft">${toldLine(profile.wrong ?? profile.about)}</span>${this.choice(profile)}</span>
      ${profile.in_use || profile.wrong
        ? nothing
        : html`<span class="row">${this.useButton(profile)}<button @click=${() => void this.compare(profile)}>${say("station.compare")}</button></span>`}</li>`;
  }
  private differences({ profile, differences }: { profile: Profile; differences: ProfileComparison["differences"] }) {
    const lines = differences.slice(0, 100).map(({ key, a, b }) => ({ key, values: [a, b] }));
    return html`<h3 data-differences>${say("station.differences", { name: nameOf(profile) })}: ${sayMany("station.lines", differences.length)}</h3>
      ${settingLines(say("station.profiles"), [say("station.in_use"), nameOf(profile)], lines)}`;
  }
  /** Whether the profile that was chosen last waits for a reload. */
  private waits(): boolean {
    const last = this.shelf?.choices[0];
    return !!last && !this.shelf?.named_by_file && !!this.shelf?.profiles.some((profile) => profile.sha256 === last.sha256 && !profile.in_use);
  }
  private takeButton() {
    if (!may("administrator")) return nothing;
    const take = () => void this.alter(say("station.take_sure"), "/station/reload", {}, say("station.taken"));
    return html`<div><button class="main" data-take @click=${take}>${say("station.take")}</button></div>`;
  }
  private choice(profile: Profile) {
    const last = this.shelf?.choices.find((choice) => choice.sha256 === profile.sha256);
    return last ? html`<br><span class="small">${say("station.chosen_by", { who: last.by, when: dayTime(last.at) })}</span>` : nothing;
  }
  private useButton(profile: Profile) {
    if (!may("administrator") || this.shelf?.named_by_file || profile.species !== this.facts?.species) return nothing;
    const use = () => void this.alter(say("station.use_sure"), "/profiles/use", { sha256: profile.sha256 }, say("station.used"));
    return html`<button @click=${use}>${say("station.use")}</button>`;
  }
  private settings(facts: StationFacts) {
    const reload = this.reload;
    const lines = facts.settings.lines.map(({ key, value, line }) => ({ key, values: [value], line }));
    return html`<section class="sheet stack"><h2>${say("station.settings")}</h2>
      <p class="soft small">${say("station.in_file", { file: facts.settings.file })}</p>
      ${reload?.wrong ? html`<p class="trouble" lang="en">${reload.wrong}</p>` : nothing}
      ${reload && !reload.same && !reload.wrong ? this.wouldChange(reload) : nothing}
      ${reload?.same ? html`<p><span class="tag within">✓ ${say("station.same")}</span></p>` : nothing}
      <details class="settings"><summary class="button">${sayMany("station.lines", lines.length)}</summary>
        ${settingLines(say("station.settings"), [say("station.value")], lines)}</details>
    </section>`;
  }
  private wouldChange(reload: Reload) {
    const lines = reload.changes.map(({ key, now, then, line }) => ({ key, values: [`${now ?? "–"} → ${then ?? "–"}`], line }));
    return html`<h3>${say("station.would_change")}</h3>
      ${settingLines(say("station.would_change"), [say("station.value")], lines)}${this.takeButton()}`;
  }
}

const nameOf = (profile: Profile) => profile.name ?? profile.file;
