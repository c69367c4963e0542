// The live feed by WebSocket: a snapshot, then each change. Comes back by itself when the connection is lost.
import { takeFirst } from "./first_live";
import type { Alarm, Edge, Level, Live, LiveCall, LivePassage, PhaseNow, Share, SpectrumColumn } from "./types";

export type LinkState = "joining" | "live" | "lost";

const mostPassages = 50;
const comesBackAfterMs = [500, 1000, 2000, 4000, 8000];

export class LiveFeed {
  state: LinkState = "joining";
  live: Live | null = null;
  /** Local time at which `live.now` came, ms, and how long that phase had lasted by then, s. */
  phaseCameMs = 0;
  phaseAgeS = 0;
  onSpectrum: (column: SpectrumColumn & { microphone: string }) => void = () => {};
  /** What the daemon drew on the running spectrogram: calls and edges as they come. */
  onMark: (mark: { kind: "call"; call: LiveCall } | { kind: "edge"; edge: Edge }) => void = () => {};
  private socket: WebSocket | null = null;
  private tries = 0;
  private timer = 0;
  private stopped = false;

  constructor(private readonly changed: () => void) {}

  start() {
    this.stopped = false;
    const first = takeFirst();
    if (first) this.meet(first);
    this.join();
  }
  private meet(live: Live) {
    this.live = live;
    this.setPhase(live.now ? Math.max(0, live.heard_until_s - live.now.since_s) : 0);
  }
  stop() {
    this.stopped = true;
    clearTimeout(this.timer);
    this.socket?.close();
    this.socket = null;
  }

  private join() {
    const socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/api/v1/live`);
    this.socket = socket;
    socket.onmessage = (event) => {
      this.tries = 0;
      this.take(JSON.parse(String(event.data)) as Message);
      this.changed();
    };
    socket.onclose = () => {
      if (this.stopped || this.socket !== socket) return;
      this.state = "lost";
      this.changed();
      this.timer = window.setTimeout(() => this.join(), comesBackAfterMs[Math.min(this.tries++, comesBackAfterMs.length - 1)]);
    };
  }

  private take(message: Message) {
    if (message.kind === "hello") {
      this.state = "live";
      this.meet(message);
      return;
    }
    const live = this.live;
    if (!live) return;
    switch (message.kind) {
      case "share":
        live.share = message.share;
        break;
      case "passage":
        live.passages = [...live.passages.filter((known) => !isSame(known, message.passage)), message.passage].slice(-mostPassages);
        break;
      case "call":
        this.addCall(live, message.call);
        this.onMark({ kind: "call", call: message.call });
        break;
      case "edge":
        live.contacts = [...live.contacts.filter((edge) => edge.role !== message.edge.role), message.edge];
        this.onMark({ kind: "edge", edge: message.edge });
        break;
      case "phase":
        live.now = message.phase;
        this.setPhase(0);
        break;
      case "level":
        live.levels = [...live.levels.filter((level) => level.microphone !== message.level.microphone), message.level];
        break;
      case "alarm":
        live.alarms = live.alarms.filter((alarm) => alarm.alarm !== message.alarm.alarm);
        if (message.alarm.state !== "cleared") live.alarms = [...live.alarms, message.alarm];
        break;
      case "spectrum":
        this.onSpectrum(message.spectrum);
        break;
    }
  }

  private addCall(live: Live, call: LiveCall) {
    const passage = live.passages.find((known) => known.shift_id === call.shift_id && known.passage_id === call.passage_id);
    if (passage && !passage.calls.some((known) => known.call_id === call.call_id)) passage.calls = [...passage.calls, call];
  }
  private setPhase(ageS: number) {
    this.phaseCameMs = performance.now();
    this.phaseAgeS = ageS;
  }
}

type Message =
  | Live
  | { kind: "share"; share: Share }
  | { kind: "passage"; passage: LivePassage }
  | { kind: "call"; call: LiveCall }
  | { kind: "edge"; edge: Edge }
  | { kind: "phase"; phase: PhaseNow }
  | { kind: "level"; level: Level }
  | { kind: "alarm"; alarm: Alarm }
  | { kind: "spectrum"; spectrum: SpectrumColumn & { microphone: string } };

const isSame = (one: LivePassage, other: LivePassage) => one.shift_id === other.shift_id && one.passage_id === other.passage_id;
