// The station itself.
export interface Profile {
  sha256: string;
  file: string;
  name: string | null;
  version: string | null;
  about: string;
  species: string | null;
  in_use: boolean;
  shipped: boolean;
  wrong: string | null;
}
export interface StationMicrophone {
  name: string;
  device: string;
  up_race_m: number | null;
  minute: {
    start: string | null;
    unit: string;
    level_db: number | null;
    background_db: number | null;
    heard_s: number;
    silent_s: number;
    clipped_s: number;
    hum_s: number;
    wind_s: number;
    covered_s: number;
    level_far_s: number;
  } | null;
  calibration: { sensitivity_db_spl_fs: number; calibrated_at: string | null; calibrator_serial: string | null; calibrator_db: number | null; drift_db: number | null } | null;
}
export interface StationContact {
  name: string;
  role: string;
  input: string;
  inverted: boolean;
  edge: { closed: boolean; time_s: number; utc: string | null } | null;
  fault: { what: string; utc: string | null; detail: string } | null;
}
export interface StationFacts {
  name: string;
  species: string;
  microphones: StationMicrophone[];
  contacts: StationContact[];
  clock: { utc: string; timezone: string; heard_until: string | null; behind_s: number | null };
  disk: { free_mb: number; total_mb: number; low_below_mb: number; records_mb: number | null } | null;
  versions: { quietpass: string; records: number };
  profile: Profile | null;
  settings: { file: string; sha256: string; lines: { key: string; value: string; line: number }[] };
  ledger: { records: number; head: string | null; signed_records: number; signed: string | null; key_id: string | null; public_key: string | null };
}
export interface Reload {
  file: string;
  same: boolean;
  wrong: string | null;
  changes: { key: string; now: string | null; then: string | null; line: number }[];
}
export interface Profiles {
  profiles: Profile[];
  /** The station file names one, so none can be chosen here. */
  named_by_file: boolean;
  choices: { at: string; by: string; sha256: string }[];
}
export interface Check {
  state: "good" | "look" | "bad";
  what: string;
  words: string;
  do: string | null;
}
export interface ProfileComparison {
  differences: { key: string; a: string | null; b: string | null }[];
}
