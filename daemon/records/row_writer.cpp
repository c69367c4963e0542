#include "daemon/records/row_writer.h"

#include <cmath>
#include <string>
#include <string_view>

namespace quietpass {
namespace {

// ON CONFLICT names the key and does nothing: a repeated write changes nothing, while any other broken rule
// (NOT NULL, CHECK, a shift that isn't there) is still an error. OR IGNORE would swallow those too.
constexpr const char* kShiftOpened =
    "INSERT INTO shifts (seq, shift_id, station, species, timezone, name, start_s, start_utc_ns) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (shift_id) DO NOTHING";
// No evidence, only how far it got: nothing of a shift that is closed or isn't there.
constexpr const char* kShiftHeard =
    "INSERT INTO shift_progress (shift_id, heard_until_s, heard_until_utc_ns) "
    "SELECT ?1, ?2, ?3 FROM shifts WHERE shift_id = ?1 "
    "AND NOT EXISTS (SELECT 1 FROM shift_records WHERE shift_id = ?1) "
    "ON CONFLICT (shift_id) DO UPDATE SET heard_until_s = excluded.heard_until_s, "
    "heard_until_utc_ns = excluded.heard_until_utc_ns";
constexpr const char* kShiftClosed =
    "INSERT INTO shift_records (seq, shift_id, end_s, end_utc_ns, record_json) VALUES (?, ?, ?, ?, ?) "
    "ON CONFLICT (shift_id) DO NOTHING";
constexpr const char* kCall =
    "INSERT INTO calls (seq, shift_id, call_id, microphone, start_s, end_s, start_utc_ns, end_utc_ns, "
    "species, "
    "kind, "
    "score, level_db, f0_hz, passage_id, phase, counted, reason, terms, "
    "bang_before_db, hiss_before_db) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (shift_id, call_id) DO "
    "NOTHING";
constexpr const char* kPassage =
    "INSERT INTO passages (seq, shift_id, passage_id, entered_s, body_held_s, held_s, stunned_s, released_s, "
    "end_s, "
    "entered_utc_ns, body_held_utc_ns, held_utc_ns, stunned_utc_ns, released_utc_ns, end_utc_ns, calls, "
    "vocal, "
    "covered, calls_at_stun, calls_after_stun, stuns, prods, excluded, flags, "
    "body_held_for_s, held_for_s, to_stun_s, restrained_for_s, bangs) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
    "ON CONFLICT (shift_id, passage_id) DO NOTHING";
constexpr const char* kGap =
    "INSERT INTO gaps (seq, shift_id, source, start_s, end_s, start_utc_ns, end_utc_ns, cause) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (shift_id, end_s, start_s, source, cause) DO NOTHING";
constexpr const char* kEdge =
    "INSERT INTO edges (seq, shift_id, time_s, utc_ns, role, closed) VALUES (?, ?, ?, ?, ?, ?) "
    "ON CONFLICT (shift_id, time_s, role, closed) DO NOTHING";
constexpr const char* kContactFault =
    "INSERT INTO contact_faults (seq, shift_id, time_s, utc_ns, contact, fault, detail) VALUES (?, ?, ?, ?, "
    "?, ?, ?) "
    "ON CONFLICT (shift_id, time_s, contact, fault) DO NOTHING";
constexpr const char* kMicrophone =
    "INSERT INTO microphones (seq, shift_id, number, name, sensitivity_db_spl_fs, calibrated_at, "
    "calibrator_serial, calibrator_db, drift_db) "
    "VALUES (?1, ?2, (SELECT count(*) FROM microphones WHERE shift_id = ?2), ?3, ?4, ?5, ?6, ?7, ?8) "
    "ON CONFLICT (shift_id, name) DO NOTHING";
constexpr const char* kMinute =
    "INSERT INTO microphone_minutes (seq, shift_id, microphone, start_s, end_s, start_utc_ns, "
    "sensitivity_db, "
    "heard_s, worked_s, usual_known, level_db, background_db, rumble_db, body_db, high_db, hum_db, silent_s, "
    "clipped_s, hum_s, wind_s, covered_s, level_far_s) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
    "ON CONFLICT (shift_id, microphone, start_s) DO NOTHING";
constexpr const char* kNoise =
    "INSERT INTO noises (seq, shift_id, time_s, end_s, utc_ns, microphone, kind, level_db, passage_id, "
    "phase, "
    "by_equipment) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
    "ON CONFLICT (shift_id, time_s, microphone, kind) DO NOTHING";

constexpr const char* kAlarmEvent =
    "INSERT INTO alarm_events (seq, event_id, id, alarm_id, cause, source, event, utc_ns, by, severity, "
    "count, told, passage_id, call_id, what) "
    "VALUES (?, (SELECT coalesce(max(event_id), 0) + 1 FROM alarm_events), "
    "?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO NOTHING";

// Binds a statement's parameters from left to right and leaves it reset whatever happens.
class Binding {
  public:
    explicit Binding(SQLite::Statement& statement) : statement_(statement) {}
    ~Binding() { statement_.tryReset(); }
    Binding(const Binding&) = delete;
    Binding& operator=(const Binding&) = delete;

    Binding& add(std::int64_t value) {
        statement_.bind(++index_, value);
        return *this;
    }
    Binding& add(bool value) { return add(static_cast<std::int64_t>(value ? 1 : 0)); }
    Binding& add(int value) { return add(static_cast<std::int64_t>(value)); }
    // SQLite stores NaN as NULL by itself; said here so that nobody has to know.
    Binding& add(double value) {
        if (std::isnan(value)) {
            statement_.bind(++index_);
        } else {
            statement_.bind(++index_, value);
        }
        return *this;
    }
    Binding& add(std::string_view value) {
        statement_.bind(++index_, std::string(value));
        return *this;
    }
    template <typename Value>
    Binding& add(const std::optional<Value>& value) {
        if (value) return add(*value);
        statement_.bind(++index_);
        return *this;
    }
    // How many rows came of it.
    int run() { return statement_.exec(); }

  private:
    SQLite::Statement& statement_;
    int index_ = 0;
};

// The same for a row of evidence: its first parameter is the number of its record, and it is chained.
class EvidenceBinding {
  public:
    EvidenceBinding(SQLite::Statement& statement, Ledger& ledger, const char* table)
        : binding_(statement), ledger_(ledger), table_(table), seq_(ledger.next_seq()) {
        binding_.add(seq_);
    }

    template <typename Value>
    EvidenceBinding& add(const Value& value) {
        binding_.add(value);
        return *this;
    }
    // False: it was there already.
    bool run() {
        if (binding_.run() == 0) return false;
        ledger_.record(table_, seq_);
        return true;
    }

  private:
    Binding binding_;
    Ledger& ledger_;
    const char* table_;
    std::int64_t seq_;
};

std::optional<std::int64_t> utc_of(const std::optional<StationUtc>& utc, double time_s) {
    return utc ? utc->at(time_s) : std::nullopt;
}

std::string joined_by_semicolon(const std::vector<std::string>& words) {
    std::string out;
    for (const std::string& word : words) {
        if (!out.empty()) out += ';';
        out += word;
    }
    return out;
}

} // namespace

RowWriter::RowWriter(SQLite::Database& database)
    : database_(database),
      ledger_(database),
      shift_opened_(database, kShiftOpened),
      shift_heard_(database, kShiftHeard),
      shift_closed_(database, kShiftClosed),
      call_(database, kCall),
      passage_(database, kPassage),
      gap_(database, kGap),
      edge_(database, kEdge),
      contact_fault_(database, kContactFault),
      microphone_(database, kMicrophone),
      minute_(database, kMinute),
      alarm_event_(database, kAlarmEvent),
      noise_(database, kNoise) {}

void RowWriter::write(const StoreRow& row) {
    std::visit([this](const auto& value) { put(value); }, row);
}

void RowWriter::put(const ShiftOpened& row) {
    EvidenceBinding binding(shift_opened_, ledger_, "shifts");
    binding.add(row.shift_id).add(row.station).add(name_of(row.species)).add(row.timezone).add(row.name);
    binding.add(row.start_s).add(utc_of(row.utc, row.start_s)).run();
}

void RowWriter::put(const ShiftHeard& row) {
    Binding binding(shift_heard_);
    binding.add(row.shift_id).add(row.until_s).add(utc_of(row.utc, row.until_s)).run();
}

void RowWriter::put(const ShiftClosed& row) {
    EvidenceBinding binding(shift_closed_, ledger_, "shift_records");
    binding.add(row.shift_id).add(row.end_s).add(utc_of(row.utc, row.end_s)).add(row.record_json);
    if (binding.run()) sign("shift");
}

void RowWriter::put(const SignHead& row) {
    sign(row.why);
}

void RowWriter::sign(const std::string& why) {
    if (signer_) signer_->sign(database_, ledger_, why);
}

void RowWriter::put(const CallRow& row) {
    const StationCall& call = row.call;
    const HeardCall& heard = call.heard;
    std::optional<std::string_view> phase;
    if (call.phase) phase = name_of(*call.phase);
    EvidenceBinding binding(call_, ledger_, "calls");
    binding.add(row.shift_id).add(call.id).add(call.microphone).add(heard.start_s).add(heard.end_s);
    binding.add(utc_of(row.utc, heard.start_s)).add(utc_of(row.utc, heard.end_s));
    binding.add(name_of(row.species)).add(name_of(heard.kind)).add(heard.score).add(heard.level_db);
    binding.add(heard.f0_hz).add(call.passage_id).add(phase).add(call.counted);
    binding.add(call.reason).add(heard.reasons).add(call.bang_before_db).add(call.hiss_before_db).run();
}

void RowWriter::put(const PassageRow& row) {
    const Passage& passage = row.passage;
    const double times_s[] = {passage.entered_s, passage.body_held_s, passage.held_s,
                              passage.stunned_s, passage.released_s,  passage.end_s};
    EvidenceBinding binding(passage_, ledger_, "passages");
    binding.add(row.shift_id).add(passage.id);
    for (const double time_s : times_s) binding.add(time_s);
    for (const double time_s : times_s) binding.add(utc_of(row.utc, time_s));
    binding.add(passage.calls).add(passage.vocal).add(passage.covered);
    binding.add(passage.calls_at_stun).add(passage.calls_after_stun).add(passage.stuns).add(passage.prods);
    binding.add(passage.excluded).add(joined_by_semicolon(passage.flags));
    binding.add(passage.body_held_for_s()).add(passage.held_for_s()).add(passage.to_stun_s());
    binding.add(passage.restrained_for_s()).add(passage.bangs).run();
}

void RowWriter::put(const GapRow& row) {
    EvidenceBinding binding(gap_, ledger_, "gaps");
    binding.add(row.shift_id).add(row.gap.source).add(row.gap.start_s).add(row.gap.end_s);
    binding.add(utc_of(row.utc, row.gap.start_s)).add(utc_of(row.utc, row.gap.end_s));
    binding.add(name_of(row.gap.cause)).run();
}

void RowWriter::put(const EdgeRow& row) {
    EvidenceBinding binding(edge_, ledger_, "edges");
    binding.add(row.shift_id).add(row.edge.time_s).add(utc_of(row.utc, row.edge.time_s));
    binding.add(name_of(row.edge.role)).add(row.edge.closed).run();
}

void RowWriter::put(const MicrophoneRow& row) {
    std::optional<double> sensitivity_db;
    std::optional<std::string_view> calibrated_at;
    std::optional<std::string_view> serial;
    const LevelReference reference = row.reference.value_or(LevelReference{});
    if (row.reference) sensitivity_db = reference.sensitivity_db_spl_fs;
    if (!reference.calibrated_at.empty()) {
        calibrated_at = reference.calibrated_at;
        serial = reference.calibrator_serial;
    }
    EvidenceBinding binding(microphone_, ledger_, "microphones");
    binding.add(row.shift_id).add(row.name).add(sensitivity_db).add(calibrated_at).add(serial);
    binding.add(reference.calibrator_db).add(reference.drift_db).run();
}

void RowWriter::put(const MinuteRow& row) {
    const MicrophoneMinute& minute = row.minute;
    EvidenceBinding binding(minute_, ledger_, "microphone_minutes");
    binding.add(row.shift_id).add(minute.microphone).add(minute.start_s).add(minute.end_s);
    binding.add(utc_of(row.utc, minute.start_s)).add(minute.sensitivity_db);
    binding.add(minute.heard_s).add(minute.worked_s).add(minute.usual_known).add(minute.level_db);
    binding.add(minute.background_db).add(minute.rumble_db).add(minute.body_db).add(minute.high_db);
    binding.add(minute.hum_db).add(minute.silent_s).add(minute.clipped_s).add(minute.hum_s);
    binding.add(minute.wind_s).add(minute.covered_s).add(minute.level_far_s).run();
}

void RowWriter::put(const AlarmEventRow& row) {
    std::optional<std::string_view> by;
    if (!row.by.empty()) by = row.by;
    EvidenceBinding binding(alarm_event_, ledger_, "alarm_events");
    binding.add(row.id).add(row.alarm_id).add(row.cause).add(row.source).add(row.event).add(row.utc_ns);
    binding.add(by).add(row.severity).add(row.count).add(row.told);
    binding.add(row.passage_id).add(row.call_id).add(row.what).run();
}

void RowWriter::put(const NoiseRow& row) {
    const StationNoise& noise = row.noise;
    std::optional<std::string_view> phase;
    if (noise.phase) phase = name_of(*noise.phase);
    EvidenceBinding binding(noise_, ledger_, "noises");
    binding.add(row.shift_id).add(noise.heard.start_s).add(noise.heard.end_s);
    binding.add(utc_of(row.utc, noise.heard.start_s)).add(noise.microphone).add(name_of(noise.heard.kind));
    binding.add(noise.heard.level_db).add(noise.passage_id).add(phase).add(noise.by_equipment).run();
}

void RowWriter::put(const ContactFaultRow& row) {
    EvidenceBinding binding(contact_fault_, ledger_, "contact_faults");
    binding.add(row.shift_id).add(row.time_s).add(utc_of(row.utc, row.time_s));
    binding.add(row.contact).add(row.fault).add(row.detail).run();
}

} // namespace quietpass
