// What people enter about the line, and the figures made of it.
import type { SpanCoverage } from "./types";

export interface PartFigures {
  vocal: number;
  passages: number;
  percent: number | null;
  percent_low: number | null;
  percent_high: number | null;
}
export interface LotRow extends PartFigures {
  lot: string;
  first: string | null;
}
export interface LotFigures extends PartFigures {
  percent_low_by_lots: number | null;
  percent_high_by_lots: number | null;
  design_effect: number | null;
  effective_animals: number | null;
  without_lot: number;
  lots: LotRow[];
  coverage: SpanCoverage;
  words: string[];
}
export interface PhaseShare extends PartFigures {
  phase: string;
  look_at: string;
  look_at_basis: string;
}
export interface Factor extends PartFigures {
  factor: string;
  level: string;
  unit: "passages" | "seconds";
  rest_vocal: number;
  rest_passages: number;
  risk_ratio: number | null;
  risk_ratio_low: number | null;
  risk_ratio_high: number | null;
  fisher_p: number | null;
}
export interface Factors {
  passages: number;
  scored: number;
  confidence: number;
  phases: PhaseShare[];
  factors: Factor[];
  coverage: SpanCoverage;
  words: string[];
}
export interface HandAudit {
  audit_id: number;
  state: "open" | "finished";
  auditors: string;
  entered_by: string | null;
  started: string | null;
  finished: string | null;
  animals: number;
  vocal: number;
  file: string | null;
  note: string;
}
export interface Score {
  score_id: string | null;
  vocal: boolean;
  shift_id: number | null;
  passage_id: number | null;
  at: string | null;
  note: string;
  scored: string | null;
}
export interface HandAuditInFull extends HandAudit {
  scores: Score[];
}
export interface AuditComparison {
  rows: number;
  compared: number;
  vocal_to_both: number;
  vocal_to_person_only: number;
  vocal_to_machine_only: number;
  silent_to_both: number;
  figures: { auditor: string; measure: string; value: number | null; low: number | null; high: number | null; k: number | null; n: number | null }[];
  differences: { shift_id: number; passage_id: number; entered: string | null; person: string; machine: string; auditor: string; note: string }[];
  words: string[];
}
