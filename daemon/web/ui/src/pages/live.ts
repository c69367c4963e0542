// What happens at the line now. Readable from five metres away.
import { html, nothing } from "lit";
import { customElement, state } from "lit/decorators.js";
import { LiveFeed } from "../api/live_feed";
import type { Live } from "../api/types";
import "../parts/alarm_list";
import "../parts/passage_strip";
import "../parts/running_spectrogram";
import type { RunningSpectrogram } from "../parts/running_spectrogram";
import { shareFigure } from "../parts/share_figure";
import { linkSign } from "../parts/signs";
import { Part } from "../parts/part";
import { clock, day, hourMinute, level, number, say, sayOf, seconds, shiftName } from "../words/words";

@customElement("live-page")
export class LivePage extends Part {
  @state() private tick = 0;
  private feed = new LiveFeed(() => this.requestUpdate());
  private timer = 0;

  override connectedCallback() {
    super.connectedCallback();
    this.feed.onSpectrum = (column) => this.picture?.add(column);
    this.feed.onMark = (mark) => this.picture?.mark(mark);
    this.feed.start();
    this.timer = window.setInterval(() => this.tick++, 200);
  }
  override disconnectedCallback() {
    super.disconnectedCallback();
    clearInterval(this.timer);
    this.feed.stop();
  }
  private get picture() {
    return this.querySelector<RunningSpectrogram>("running-spectrogram");
  }

  override render() {
    const live = this.feed.live;
    if (!live) return html`<p class="empty" aria-busy="true">${say(this.feed.state === "lost" ? "live.lost" : "live.joining")}</p>`;
    const { share } = live;
    const lost = this.feed.state === "lost" ? "live.lost" : "live.joining";
    const since = share ? say("live.since", { day: day(share.start), time: hourMinute(share.start) }) : "";
    return html`<div class="live ${live.alarms.length > 1 ? "alarmed" : ""}">
      <section class="sheet so-far">
        <div class="title">
          <h1>${say(live.station.cut ? "live.title_cut" : "live.title")}</h1>
          <span class="link-state row small soft">${linkSign(this.feed.state === "live")}${this.feed.state === "live"
            ? say("live.heard_until", { time: clock(live.heard_until) })
            : say(lost)}</span>
        </div>
        <p class="soft">${share ? `${shiftName(share.shift)} · ${since}` : say("live.no_shift")}</p>
        ${share ? shareFigure(share, share.not_scored_because) : nothing}
        ${share?.basis ? html`<p class="small soft">${say("share.basis", { basis: share.basis })}</p>` : nothing}
      </section>
      <section class="sheet open-alarms"><alarm-list class="stack" .alarms=${live.alarms}></alarm-list></section>
      <section class="sheet readings" aria-label=${say("live.now")}>${this.readings(live)}</section>
      <section class="sheet passages">
        <div class="title"><h2>${say("strip.title")}</h2></div>
        <passage-strip .passages=${live.passages}></passage-strip>
      </section>
      <section class="sheet sound">
        <div class="title"><h2>${say("sound.title")}</h2><span class="small soft">${this.levels(live)}</span></div>
        <running-spectrogram .spectrum=${live.spectrum ?? null}></running-spectrogram>
      </section>
    </div>`;
  }

  private readings(live: Live) {
    const { share, now } = live;
    const inside = now?.phase ? this.feed.phaseAgeS + (performance.now() - this.feed.phaseCameMs) / 1000 : null;
    const stopped = live.contacts.find((edge) => edge.role === "stopped")?.closed;
    return html`
      <div class="reading" data-reading="now">
        <p class="name">${say("live.now")}</p>
        <p class="value">${stopped ? say("live.stopped") : now?.phase ? sayOf("phase", now.phase) : say("live.nobody")}</p>
        <p class="more">${inside === null ? " " : say("live.for", { time: seconds(inside, 0), n: String(now?.passage_id ?? "") })}</p>
      </div>
      <div class="reading" data-reading="rate">
        <p class="name">${say("live.rate")}</p>
        <p class="value">${share?.line_rate_per_hour ? number(share.line_rate_per_hour) : "–"}</p>
        <p class="more">${say("live.per_hour")}</p>
      </div>
      <div class="reading" data-reading="hold">
        <p class="name">${say("live.hold")}</p>
        <p class="value">${seconds(share?.held_for_s.median)}</p>
        <p class="more">${say("live.longest", { time: seconds(share?.held_for_s.max) })}</p>
      </div>
      <div class="reading" data-reading="after-stun">
        <p class="name">${say(live.station.cut ? "live.after_cut" : "live.after_stun")}</p>
        <p class="value">${share?.calls_after_stun ?? "–"}</p>
        <p class="more">${say("live.this_shift")}</p>
      </div>`;
  }

  private levels(live: Live) {
    return live.levels.map((one) => `${one.microphone}: ${level(one.level_db, one.unit)}`).join(" · ");
  }
}
