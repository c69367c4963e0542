#include "daemon/records/row_reader.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include <algorithm>
#include <initializer_list>
#include <stdexcept>
#include <string>
#include <string_view>

#include "daemon/records/row_columns.h"
#include "daemon/records/semicolons.h"

namespace quietpass {
namespace {

[[noreturn]] void unknown_word(const std::string& what, const std::string& word) {
    throw std::runtime_error("unknown " + what + " \"" + word + "\"");
}

template <typename Value>
Value value_named(std::initializer_list<Value> values, const std::string& what, const std::string& word) {
    for (const Value value : values) {
        if (name_of(value) == word) return value;
    }
    unknown_word(what, word);
}

Species species_of(const std::string& word) {
    return value_named({Species::kCattle, Species::kPig, Species::kSheep}, "species", word);
}

CallKind kind_of(const std::string& word) {
    return value_named({CallKind::kMoo, CallKind::kBellow, CallKind::kSqueal, CallKind::kGrunt},
                       "kind of call", word);
}

Phase phase_of(const std::string& word) {
    return value_named({Phase::kEntry, Phase::kBodyHeld, Phase::kHeld, Phase::kAtStun, Phase::kAfterStun},
                       "phase", word);
}

GapCause cause_of(const std::string& word) {
    for (const GapCause cause : kGapCauses) {
        if (name_of(cause) == word) return cause;
    }
    unknown_word("cause of a gap", word);
}

Role role_of(const std::string& word) {
    const std::optional<Role> role = role_from(word);
    if (!role) unknown_word("contact role", word);
    return *role;
}

constexpr const char* kShiftColumns =
    "SELECT shift_id, station, species, timezone, name, start_s, start_utc_ns, heard_until_s, "
    "heard_until_utc_ns, end_s, end_utc_ns, record_json FROM shifts "
    "LEFT JOIN shift_progress USING (shift_id) LEFT JOIN shift_records USING (shift_id) ";

StoredShift shift_in(Columns columns) {
    StoredShift shift;
    shift.shift_id = columns.integer();
    shift.station = columns.text();
    shift.species = species_of(columns.text());
    shift.timezone = columns.text();
    shift.name = columns.text();
    shift.start_s = columns.number();
    shift.start_utc_ns = columns.optional_integer();
    shift.heard_until_s = columns.optional_number();
    shift.heard_until_utc_ns = columns.optional_integer();
    shift.end_s = columns.optional_number();
    shift.end_utc_ns = columns.optional_integer();
    shift.record_json = columns.text();
    return shift;
}

Passage passage_in(Columns columns) {
    Passage passage;
    passage.id = columns.integer();
    passage.entered_s = columns.number();
    passage.body_held_s = columns.number();
    passage.held_s = columns.number();
    passage.stunned_s = columns.number();
    passage.released_s = columns.number();
    passage.end_s = columns.number();
    passage.calls = columns.small();
    passage.vocal = columns.yes_no();
    passage.covered = columns.yes_no();
    passage.calls_at_stun = columns.small();
    passage.calls_after_stun = columns.small();
    passage.stuns = columns.small();
    passage.prods = columns.small();
    passage.excluded = columns.text();
    passage.flags = split_at_semicolons(columns.text());
    passage.bangs = columns.optional([](Columns& cell) { return cell.small(); });
    return passage;
}

StationCall call_in(Columns columns) {
    StationCall call;
    call.id = columns.integer();
    call.microphone = columns.text();
    call.heard.start_s = columns.number();
    call.heard.end_s = columns.number();
    call.heard.kind = kind_of(columns.text());
    call.heard.score = columns.number();
    call.heard.level_db = columns.number();
    call.heard.f0_hz = columns.number();
    call.passage_id = columns.optional_integer();
    call.phase = columns.optional([](Columns& cell) { return phase_of(cell.text()); });
    call.counted = columns.yes_no();
    call.reason = columns.text();
    call.heard.reasons = columns.text();
    call.bang_before_db = columns.optional_number();
    call.hiss_before_db = columns.optional_number();
    return call;
}

Gap gap_in(Columns columns) {
    Gap gap;
    gap.source = columns.text();
    gap.start_s = columns.number();
    gap.end_s = columns.number();
    gap.cause = cause_of(columns.text());
    return gap;
}

Edge edge_in(Columns columns) {
    Edge edge;
    edge.time_s = columns.number();
    edge.role = role_of(columns.text());
    edge.closed = columns.yes_no();
    return edge;
}

ContactFaultRow contact_fault_in(Columns columns) {
    ContactFaultRow fault;
    fault.shift_id = columns.integer();
    fault.time_s = columns.number();
    fault.contact = columns.text();
    fault.fault = columns.text();
    fault.detail = columns.text();
    return fault;
}

MicrophoneRow microphone_in(Columns columns) {
    MicrophoneRow row;
    row.shift_id = columns.integer();
    row.name = columns.text();
    const std::optional<double> sensitivity_db = columns.optional_number();
    LevelReference reference;
    reference.calibrated_at = columns.text();
    reference.calibrator_serial = columns.text();
    reference.calibrator_db = columns.optional_number();
    reference.drift_db = columns.optional_number();
    if (sensitivity_db) {
        reference.sensitivity_db_spl_fs = *sensitivity_db;
        row.reference = reference;
    }
    return row;
}

MicrophoneMinute minute_in(Columns columns) {
    MicrophoneMinute minute;
    minute.microphone = columns.text();
    minute.start_s = columns.number();
    minute.end_s = columns.number();
    minute.sensitivity_db = columns.optional_number();
    minute.heard_s = columns.number();
    minute.worked_s = columns.number();
    minute.usual_known = columns.yes_no();
    for (double* value : {&minute.level_db, &minute.background_db, &minute.rumble_db, &minute.body_db,
                          &minute.high_db, &minute.hum_db, &minute.silent_s, &minute.clipped_s, &minute.hum_s,
                          &minute.wind_s, &minute.covered_s, &minute.level_far_s}) {
        *value = columns.number();
    }
    return minute;
}

StationNoise noise_in(Columns columns) {
    StationNoise noise;
    noise.heard.start_s = columns.number();
    noise.heard.end_s = columns.number();
    noise.microphone = columns.text();
    noise.heard.kind = value_named({NoiseKind::kBang, NoiseKind::kHiss}, "kind of noise", columns.text());
    noise.heard.level_db = columns.number();
    noise.passage_id = columns.optional_integer();
    noise.phase = columns.optional([](Columns& cell) { return phase_of(cell.text()); });
    noise.by_equipment = columns.yes_no();
    return noise;
}

template <typename Row>
std::vector<Row> rows_of(SQLite::Database& database, const char* sql, std::int64_t shift_id,
                         Row (*read)(Columns)) {
    SQLite::Statement query(database, sql);
    query.bind(1, shift_id);
    std::vector<Row> rows;
    while (query.executeStep()) rows.push_back(read(Columns(query)));
    return rows;
}

double known_until_s(const ShiftRows& rows) {
    double until_s = std::max(rows.shift.start_s, rows.shift.heard_until_s.value_or(rows.shift.start_s));
    if (rows.shift.end_s) until_s = std::max(until_s, *rows.shift.end_s);
    for (const Passage& passage : rows.passages) until_s = std::max(until_s, passage.end_s);
    for (const StationCall& call : rows.calls) until_s = std::max(until_s, call.heard.end_s);
    for (const Gap& gap : rows.gaps) until_s = std::max(until_s, gap.end_s);
    for (const Edge& edge : rows.edges) until_s = std::max(until_s, edge.time_s);
    for (const ContactFaultRow& fault : rows.contact_faults) until_s = std::max(until_s, fault.time_s);
    return until_s;
}

} // namespace

std::vector<StoredShift> read_shifts(SQLite::Database& database, bool open_only) {
    SQLite::Statement query(database, std::string(kShiftColumns) + (open_only ? "WHERE end_s IS NULL " : "") +
                                          "ORDER BY shift_id");
    std::vector<StoredShift> shifts;
    while (query.executeStep()) shifts.push_back(shift_in(Columns(query)));
    return shifts;
}

std::vector<StoredShift> read_shifts_between(SQLite::Database& database,
                                             const std::optional<std::int64_t>& from_utc_ns,
                                             const std::optional<std::int64_t>& to_utc_ns) {
    if (!from_utc_ns && !to_utc_ns) return read_shifts(database, false);
    SQLite::Statement query(database,
                            std::string(kShiftColumns) +
                                "WHERE start_utc_ns < ?2 AND (end_utc_ns IS NULL OR end_utc_ns >= ?1) "
                                "ORDER BY shift_id");
    query.bind(1, from_utc_ns.value_or(INT64_MIN));
    query.bind(2, to_utc_ns.value_or(INT64_MAX));
    std::vector<StoredShift> shifts;
    while (query.executeStep()) shifts.push_back(shift_in(Columns(query)));
    return shifts;
}

std::vector<StoredShift> read_newest_shifts(SQLite::Database& database, std::int64_t most,
                                            const std::optional<std::int64_t>& before_shift) {
    SQLite::Statement query(database,
                            std::string(kShiftColumns) + "WHERE shift_id < ? ORDER BY shift_id DESC LIMIT ?");
    query.bind(1, before_shift.value_or(INT64_MAX));
    query.bind(2, most);
    std::vector<StoredShift> shifts;
    while (query.executeStep()) shifts.push_back(shift_in(Columns(query)));
    std::reverse(shifts.begin(), shifts.end());
    return shifts;
}

std::optional<StoredShift> read_stored_shift(SQLite::Database& database, std::int64_t shift_id) {
    const std::vector<StoredShift> found =
        rows_of(database, (std::string(kShiftColumns) + "WHERE shift_id = ?").c_str(), shift_id, shift_in);
    if (found.empty()) return std::nullopt;
    return found.front();
}

std::optional<ShiftRows> read_shift_rows(SQLite::Database& database, std::int64_t shift_id) {
    // One transaction: what a writer commits meanwhile is in all of the lists or in none.
    const SQLite::Transaction snapshot(database);
    const std::vector<StoredShift> found =
        rows_of(database, (std::string(kShiftColumns) + "WHERE shift_id = ?").c_str(), shift_id, shift_in);
    if (found.empty()) return std::nullopt;

    ShiftRows rows;
    rows.shift = found.front();
    rows.passages =
        rows_of(database,
                "SELECT passage_id, entered_s, body_held_s, held_s, stunned_s, released_s, end_s, calls, "
                "vocal, covered, calls_at_stun, calls_after_stun, stuns, prods, excluded, flags, bangs "
                "FROM passages WHERE shift_id = ? ORDER BY passage_id",
                shift_id, passage_in);
    rows.calls = rows_of(
        database,
        "SELECT call_id, microphone, start_s, end_s, kind, score, level_db, f0_hz, passage_id, phase, "
        "counted, reason, terms, bang_before_db, hiss_before_db FROM calls WHERE shift_id = ? ORDER BY "
        "call_id",
        shift_id, call_in);
    rows.gaps = rows_of(database,
                        "SELECT source, start_s, end_s, cause FROM gaps WHERE shift_id = ? "
                        "ORDER BY end_s, start_s, source, cause",
                        shift_id, gap_in);
    rows.edges = rows_of(
        database, "SELECT time_s, role, closed FROM edges WHERE shift_id = ? ORDER BY time_s, role, closed",
        shift_id, edge_in);
    rows.contact_faults = rows_of(database,
                                  "SELECT shift_id, time_s, contact, fault, detail FROM contact_faults "
                                  "WHERE shift_id = ? ORDER BY time_s, contact, fault",
                                  shift_id, contact_fault_in);
    rows.microphones =
        rows_of(database,
                "SELECT shift_id, name, sensitivity_db_spl_fs, calibrated_at, calibrator_serial, "
                "calibrator_db, drift_db FROM microphones WHERE shift_id = ? ORDER BY number",
                shift_id, microphone_in);
    rows.minutes = rows_of(
        database,
        "SELECT microphone, start_s, end_s, sensitivity_db, heard_s, worked_s, usual_known, level_db, "
        "background_db, rumble_db, body_db, high_db, hum_db, silent_s, clipped_s, hum_s, wind_s, "
        "covered_s, level_far_s FROM microphone_minutes WHERE shift_id = ? "
        "ORDER BY microphone, start_s",
        shift_id, minute_in);
    rows.noises = rows_of(database,
                          "SELECT time_s, end_s, microphone, kind, level_db, passage_id, phase, by_equipment "
                          "FROM noises WHERE shift_id = ? ORDER BY time_s, microphone, kind",
                          shift_id, noise_in);
    rows.known_until_s = known_until_s(rows);
    return rows;
}

} // namespace quietpass
