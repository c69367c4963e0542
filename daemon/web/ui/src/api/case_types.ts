// Cases and what is exported of them.
export interface CaseSummary {
  case_id: number;
  reference: string;
  asked_by: string;
  from: string | null;
  to: string | null;
  note: string;
  state: "open" | "closed";
  passages: number;
  calls: number;
  clips: number;
  held: number;
  exports: number;
  decision: string | null;
  entered_by: string;
  opened: string;
}
export interface Case extends CaseSummary {
  passage_list: { shift_id: number; passage_id: number }[];
  call_list: { shift_id: number; call_id: number }[];
  clip_list: { clip_id: number; shift_id: number; passage_id: number | null; call_id: number | null; why: string; start: string | null; seconds: number; held: boolean; deleted: boolean }[];
  events: { utc: string; event: string; text: string; shift_id: number | null; passage_id: number | null; call_id: number | null; clip_id: number | null; entered_by: string }[];
}
export interface Export {
  export_id: number;
  case_id: number;
  state: "waiting" | "running" | "done" | "failed";
  file: string;
  bytes: number | null;
  sha256: string | null;
  masked: boolean | null;
  vouched_for: boolean | null;
  notes: string[];
  failed_because: string | null;
  entered_by: string | null;
  asked: string | null;
}
export interface Verified {
  fits: boolean;
  words: string[];
}
