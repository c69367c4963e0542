// What the station answers; openapi.json describes each field.
export type Phase = "entry" | "body_held" | "held" | "at_stun" | "after_stun";
export type CallKind = "moo" | "bellow" | "squeal" | "grunt";
export type Verdict = "call" | "not_a_call" | "other_species" | "person" | "cannot_tell";
export const verdicts: readonly Verdict[] = ["call", "not_a_call", "other_species", "person", "cannot_tell"];
export type JustBefore = "prod" | "slip" | "pressure" | "edge" | "held_long" | "missed_stun" | "alone" | "unknown";
export const justBefores: readonly JustBefore[] = ["prod", "slip", "pressure", "edge", "held_long", "missed_stun", "alone", "unknown"];

export interface Coverage {
  passages: number | null;
  time_heard: number | null;
  contacts_known: number | null;
}
/** Of passages of any time: how many were scored, and how many were left out for which cause. */
export interface SpanCoverage {
  passages: number;
  scored: number;
  excluded: Record<string, number>;
}
export interface Figures {
  passages: number | null;
  scored: number | null;
  vocal: number | null;
  percent: number | null;
  percent_low: number | null;
  percent_high: number | null;
  limit_percent: number | null;
  verdict: "within_limit" | "over_limit" | "not_scored" | null;
  coverage: Coverage | null;
}
export interface Share extends Figures {
  shift_id: number;
  shift: string;
  start: string | null;
  basis: string;
  interval_contains_limit: boolean | null;
  not_scored_because: string | null;
  line_rate_per_hour: number | null;
  held_for_s: { median: number | null; p95: number | null; max: number | null; n: number };
  calls_after_stun: number;
}
export interface LiveCall {
  shift_id: number;
  call_id: number;
  microphone: string;
  start: string | null;
  start_s: number;
  end_s: number;
  call: CallKind;
  level_db: number;
  passage_id: number | null;
  phase: Phase | null;
  counted: boolean;
  reason: string;
}
export interface PassageTimes {
  passage_id: number;
  entered_s: number;
  body_held_s: number | null;
  held_s: number | null;
  stunned_s: number | null;
  released_s: number | null;
  end_s: number;
  vocal: boolean;
  covered: boolean;
  excluded: string;
}
export interface LivePassage extends PassageTimes {
  shift_id: number;
  entered: string | null;
  held_for_s: number | null;
  counted_calls: number;
  stuns: number;
  prods: number;
  flags: string[];
  calls: LiveCall[];
}
export interface Alarm {
  alarm: number;
  state: "raised" | "acknowledged" | "cleared";
  cause: string;
  source: string;
  severity: "at_once" | "soon";
  count: number;
  raised: string;
  last_change: string;
  acknowledged_by: string | null;
  passage_id: number | null;
  call_id: number | null;
  what: string;
}
export interface Edge {
  role: string;
  closed: boolean;
  time: string | null;
  time_s: number;
}
export interface PhaseNow {
  passage_id: number | null;
  phase: Phase | null;
  since: string | null;
  since_s: number;
}
export interface Level {
  microphone: string;
  end: string | null;
  end_s: number;
  unit: string;
  level_db: number | null;
  background_db: number | null;
  heard_s: number;
}
export interface SpectrumColumn {
  start_s: number;
  levels_db: number[];
}
export interface Spectrum {
  column_s: number;
  bands_hz: number[];
  microphones: { microphone: string; unit: string; columns: SpectrumColumn[] }[];
}
export interface Live {
  kind: "hello";
  station: { name: string; species: string; timezone: string; cut: boolean };
  heard_until: string | null;
  heard_until_s: number;
  share: Share | null;
  passages: LivePassage[];
  alarms: Alarm[];
  now: PhaseNow | null;
  contacts: Edge[];
  levels: Level[];
  spectrum?: Spectrum;
}
export interface ShiftSummary extends Figures {
  shift_id: number;
  station: string;
  shift: string;
  state: "open" | "closed";
  start: string | null;
  end: string | null;
}
export interface Shift extends ShiftSummary {
  record: Record<string, unknown> | null;
  amendments: Record<string, unknown>[];
}
export interface ListedCall {
  shift_id: number;
  call_id: number;
  microphone: string;
  start: string | null;
  start_s: number;
  end_s: number;
  species: string;
  call: CallKind;
  score: number;
  level_db: number;
  f0_hz: number | null;
  passage_id: number | null;
  phase: Phase | null;
  counted: boolean;
  reason: string;
  clip_id: number | null;
  verdict: Verdict | null;
}
export interface Finding {
  finding_id: number;
  verdict: Verdict;
  just_before: JustBefore | null;
  note: string;
  entered_by: string;
  utc: string;
}
export interface Call extends Omit<ListedCall, "verdict"> {
  terms: string[];
  passage: PassageTimes | null;
  edges: { time_s: number; role: string; closed: boolean }[];
  clip: { clip_id: number; start_s: number; end_s: number } & Record<string, unknown> | null;
  findings: Finding[];
}
export interface JournalEntry {
  entry_id: number;
  kind: "lot" | "lot_end" | "note" | "change";
  at: string;
  until: string | null;
  text: string;
  station_part: string;
  entered_by: string;
  added: string;
}
export interface ChartedShift extends Figures {
  shift_id: number;
  shift: string;
  state: "open" | "closed";
  start: string;
  end: string | null;
  limit_low_percent: number | null;
  limit_high_percent: number | null;
  outside: boolean;
}
export interface Chart {
  shifts: ChartedShift[];
  more: boolean;
  mean: { shifts: number; vocal: number; scored: number; percent: number } | null;
  limits_from_shifts: number;
  limits_are: string;
  marks: JournalEntry[];
}
export interface ChartGroup {
  side: "before" | "after";
  first: string;
  vocal: number;
  passages: number;
  percent: number | null;
  limit_low_percent: number | null;
  limit_high_percent: number | null;
  outside: boolean;
}
export interface Comparison {
  change_id: number;
  at: string;
  what: string;
  station_part: string;
  before_first: string | null;
  before_last: string | null;
  before_vocal: number;
  before_passages: number;
  before_percent: number | null;
  before_percent_low: number | null;
  before_percent_high: number | null;
  after_first: string | null;
  after_last: string | null;
  after_vocal: number;
  after_passages: number;
  after_percent: number | null;
  after_percent_low: number | null;
  after_percent_high: number | null;
  difference_points: number | null;
  difference_low: number | null;
  difference_high: number | null;
  difference_low_by_lots: number | null;
  difference_high_by_lots: number | null;
  fisher_p: number | null;
  shown: boolean | null;
  hoped_percent: number | null;
  power: number;
  needed_each: number | null;
  needed_more_after: number | null;
  run_chart: ChartGroup[];
  coverage: { before: SpanCoverage; after: SpanCoverage };
  words: string[];
}
