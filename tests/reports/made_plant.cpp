#include "tests/reports/made_plant.h"

#include <cmath>
#include <memory>

#include "daemon/ledger/head_signer.h"
#include "daemon/records/shift_json.h"
#include "daemon/records/utc_text.h"

namespace quietpass::test {

namespace {

std::int64_t moment(const std::string& text) {
    return utc_from_text(text).value();
}

std::int64_t later(std::int64_t utc_ns, double seconds) {
    return utc_ns + static_cast<std::int64_t>(seconds * 1e9);
}

// The edges' resolution, as live.
double in_ms(double seconds) {
    return std::round(seconds * 1000.0) / 1000.0;
}

} // namespace

MadePlant::MadePlant(const std::filesystem::path& file, StationSettings station, std::uint32_t seed)
    : settings(std::move(station)), store_(file), random_(seed) {}

bool MadePlant::chance(double share) {
    // Not a distribution of the library: those may differ between libraries.
    return static_cast<double>(random_() >> 8U) / static_cast<double>(1U << 24U) < share;
}

Passage MadePlant::passage_of(const MadeShift& shift, std::int64_t id, double entered_s) {
    const auto between = [&](double low, double high) {
        return low + (high - low) * static_cast<double>(random_() >> 8U) / static_cast<double>(1U << 24U);
    };
    const bool is_long = chance(shift.held_long);
    Passage passage;
    passage.id = id;
    passage.entered_s = in_ms(entered_s);
    passage.body_held_s = in_ms(entered_s + between(2.0, 4.0));
    passage.held_s = in_ms(passage.body_held_s + between(1.0, 2.0));
    passage.stunned_s = in_ms(passage.held_s + (is_long ? between(20.0, 28.0) : between(4.0, 12.0)));
    passage.released_s = in_ms(passage.stunned_s + between(2.0, 4.0));
    passage.end_s = passage.released_s;
    passage.prods = chance(shift.prodded) ? 1 + (chance(0.3) ? 1 : 0) : 0;
    const bool cut = settings.has(Role::kCut);
    passage.stuns = cut ? 0 : chance(shift.second_stun) ? 2 : 1;
    passage.bangs = chance(0.1) ? 1 : 0;
    if (chance(shift.not_heard)) {
        passage.covered = false;
        passage.excluded = chance(0.5) ? "silent" : "overrun";
    } else if (chance(0.004)) {
        passage.excluded = "line_stopped";
    }
    const double share = is_long             ? shift.vocal_when_long
                         : passage.prods > 0 ? shift.vocal_when_prodded
                                             : shift.vocal;
    passage.vocal = chance(share);
    passage.calls = passage.vocal ? 1 : 0;
    passage.calls_after_stun = chance(shift.after_stun) ? 1 : 0;
    return passage;
}

void MadePlant::add_call(std::vector<StoreRow>& rows, Tally& tally, std::int64_t shift_id,
                         const Passage& passage, Phase phase, bool bang, const StationUtc& utc) {
    StationCall call;
    call.id = ++calls_;
    call.microphone = settings.microphones.front().name;
    const double from[] = {passage.entered_s, passage.body_held_s, passage.held_s, passage.stunned_s - 0.2,
                           passage.stunned_s + 1.0};
    call.heard.start_s = from[static_cast<std::size_t>(phase)] + 0.2;
    call.heard.end_s = call.heard.start_s + 1.0;
    call.heard.kind = settings.species == Species::kPig ? CallKind::kSqueal : CallKind::kMoo;
    call.passage_id = passage.id;
    call.passage_entered_s = passage.entered_s;
    call.phase = phase;
    call.counted = phase != Phase::kAfterStun;
    tally.add(call);
    rows.push_back(CallRow{shift_id, settings.species, call, utc});
    if (!bang) return;
    StationNoise noise;
    noise.microphone = call.microphone;
    noise.heard.kind = NoiseKind::kBang;
    noise.heard.start_s = call.heard.start_s - 0.4;
    noise.heard.end_s = noise.heard.start_s;
    noise.heard.level_db = -20.0;
    noise.passage_id = passage.id;
    rows.push_back(NoiseRow{shift_id, noise, utc});
}

std::int64_t MadePlant::add(const MadeShift& shift) {
    const StationUtc utc{moment(shift.start), 1e9};
    ShiftOpened opened;
    opened.shift_id = store_.next_shift_id();
    opened.station = settings.name;
    opened.species = settings.species;
    opened.timezone = settings.timezone;
    opened.name = shift.name;
    opened.utc = utc;
    store_.write(std::vector<StoreRow>{opened});
    calls_ = 0;
    Tally tally(settings);
    std::vector<StoreRow> rows;
    for (int i = 0; i < shift.animals; ++i) {
        Passage passage = passage_of(shift, i + 1, 20.0 + shift.every_s * i);
        const bool is_long = passage.held_for_s() > 15.0;
        const Phase phase = is_long             ? Phase::kHeld
                            : passage.prods > 0 ? Phase::kEntry
                            : chance(0.3)       ? Phase::kAtStun
                                                : Phase::kBodyHeld;
        passage.calls_at_stun = passage.vocal && phase == Phase::kAtStun ? 1 : 0;
        tally.add(passage);
        rows.push_back(PassageRow{opened.shift_id, passage, utc});
        if (passage.vocal) add_call(rows, tally, opened.shift_id, passage, phase, chance(shift.bangs), utc);
        if (passage.calls_after_stun > 0) {
            add_call(rows, tally, opened.shift_id, passage, Phase::kAfterStun, false, utc);
        }
    }
    const double end_s = 20.0 + shift.every_s * shift.animals + shift.stop_s;
    if (shift.stop_s > 0.0) tally.add_stop(end_s - shift.stop_s, end_s);
    ShiftRecord record = tally.record(0.0, end_s);
    record.shift = shift.name;
    record.start_utc_ns = utc.at(0.0);
    record.end_utc_ns = utc.at(end_s);
    record.versions = {{"quietpass", "0.1.0"}};
    clock_.go_to(static_cast<double>(utc.at(end_s).value()) / 1e9);
    rows.push_back(ShiftClosed{opened.shift_id, end_s, utc, shift_json(record)});
    store_.write(rows);
    return opened.shift_id;
}

std::int64_t MadePlant::open(const std::string& start) {
    ShiftOpened opened;
    opened.shift_id = store_.next_shift_id();
    opened.station = settings.name;
    opened.species = settings.species;
    opened.timezone = settings.timezone;
    opened.name = "late";
    opened.utc = StationUtc{moment(start), 1e9};
    store_.write(std::vector<StoreRow>{opened});
    return opened.shift_id;
}

void MadePlant::sign() {
    const std::filesystem::path file = store_.file().parent_path() / "key" / "station.key";
    std::shared_ptr<HeadSigner> signer;
    store_.change([&](SQLite::Database& database) {
        signer = std::make_shared<HeadSigner>(open_station_key(database, file, clock_), file, clock_);
    });
    store_.sign_with(signer);
}

void MadePlant::lots(const std::string& start, int count, double every_s) {
    for (int i = 0; i < count; ++i) {
        JournalEntry entry;
        entry.kind = EntryKind::kLot;
        entry.at_utc_ns = later(moment(start), every_s * i);
        entry.text = "lot " + std::to_string(i + 1);
        entry.added_utc_ns = entry.at_utc_ns;
        store_.add(entry);
    }
}

void MadePlant::change(const std::string& at, const std::string& part, const std::string& text,
                       const std::string& by) {
    JournalEntry entry;
    entry.kind = EntryKind::kChange;
    entry.at_utc_ns = moment(at);
    entry.text = text;
    entry.station_part = part;
    entry.by = by;
    entry.added_utc_ns = entry.at_utc_ns;
    store_.add(entry);
}

void MadePlant::alarm(const std::string& cause, const std::string& source, const std::string& at,
                      std::int64_t count, double acknowledged_after_s, const std::string& by,
                      double cleared_after_s) {
    AlarmEventRow row;
    row.alarm_id = ++alarms_;
    row.cause = cause;
    row.source = source;
    row.severity = cause == "call_after_stun" || cause == "hold_too_long" ? "at_once" : "soon";
    row.count = count;
    row.told = true;
    row.what = "seen at the station";
    const auto write = [&](const char* event, double after_s, const std::string& who) {
        row.id = settings.name + "/" + std::to_string(row.alarm_id) + "/" + event;
        row.event = event;
        row.utc_ns = later(moment(at), after_s);
        row.by = who;
        store_.write(std::vector<StoreRow>{row});
    };
    write("raised", 0.0, "");
    if (acknowledged_after_s > 0.0) write("acknowledged", acknowledged_after_s, by);
    if (cleared_after_s > 0.0) write("cleared", cleared_after_s, "");
}

void MadePlant::hand_audit(std::int64_t shift_id, const std::string& auditor, int animals, int wrong) {
    HandAudit audit;
    audit.file = "audit.csv";
    audit.sha256 = std::string(64, 'a');
    const ShiftRows rows = store_.read_shift(shift_id).value();
    for (int i = 0; i < animals; ++i) {
        const Passage& passage = rows.passages.at(static_cast<std::size_t>(i));
        HandAuditRow row;
        row.shift_id = shift_id;
        row.passage_id = passage.id;
        row.vocal = passage.vocal != (i % (animals / std::max(wrong, 1)) == 1 && wrong > 0);
        row.auditor = auditor;
        audit.rows.push_back(row);
    }
    audit.added_utc_ns = rows.shift.end_utc_ns.value_or(0);
    store_.add(audit);
}

StationSettings cattle_box() {
    StationSettings settings;
    settings.name = "box-2";
    settings.timezone = "America/Denver";
    settings.restraint.head_holder = true;
    settings.microphones = {MicrophoneSettings{}};
    settings.microphones.front().name = "head";
    settings.scoring = {5.0, "example guide for plants, 2024 edition"};
    for (const Role role :
         {Role::kEntered, Role::kBodyHeld, Role::kHeld, Role::kStunned, Role::kReleased, Role::kProdded}) {
        ContactSettings contact;
        contact.role = role;
        settings.contacts.push_back(contact);
    }
    return settings;
}

StationSettings pig_box() {
    StationSettings settings = cattle_box();
    settings.name = "pig box west";
    settings.species = Species::kPig;
    settings.timezone = "Europe/Copenhagen";
    return settings;
}

StationSettings sheep_box() {
    StationSettings settings = cattle_box();
    settings.name = "sheep line";
    settings.species = Species::kSheep;
    return settings;
}

StationSettings cutting_box() {
    StationSettings settings = cattle_box();
    settings.name = "rotary box";
    for (ContactSettings& contact : settings.contacts) {
        if (contact.role == Role::kStunned) contact.role = Role::kCut;
    }
    return settings;
}

} // namespace quietpass::test
