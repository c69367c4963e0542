#include "daemon/checks/evidence.h"

#include <SQLiteCpp/Database.h>

#include <cstdio>

#include "daemon/failure.h"
#include "daemon/health/minute_trouble.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/station_rows.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/key_file.h"

namespace quietpass {

namespace {

constexpr std::int64_t kMinute_ns = 60'000'000'000;
constexpr std::int64_t kOld_ns = 3 * kMinute_ns;            // of a microphone's minute
constexpr std::int64_t kUnsigned_ns = 26 * 60 * kMinute_ns; // heads are signed each day

MicrophoneMinute minute_of(const std::string& microphone, const LatestMinute& latest) {
    MicrophoneMinute minute;
    minute.microphone = microphone;
    minute.start_s = latest.end_s - 60.0;
    minute.end_s = latest.end_s;
    minute.sensitivity_db = latest.sensitivity_db;
    minute.heard_s = latest.heard_s;
    minute.worked_s = latest.heard_s;
    minute.level_db = latest.level_db;
    minute.silent_s = latest.silent_s;
    minute.clipped_s = latest.clipped_s;
    minute.hum_s = latest.hum_s;
    minute.wind_s = latest.wind_s;
    minute.covered_s = latest.covered_s;
    minute.level_far_s = latest.level_far_s;
    return minute;
}

CheckLine microphone_line(SQLite::Database& database, const std::string& name, std::int64_t utc_ns) {
    const std::string what = "microphone " + name;
    const auto latest = read_latest_minute(database, name);
    if (!latest) {
        return {CheckState::kLook, what, "no minute of it is in the records yet",
                "look again in two minutes"};
    }
    if (latest->start_utc_ns && utc_ns - *latest->start_utc_ns > kMinute_ns + kOld_ns) {
        return {CheckState::kBad, what,
                "not in the records since " + utc_text(*latest->start_utc_ns + kMinute_ns),
                "look at its plug, its cable and the log"};
    }
    if (latest->heard_s <= 0.0)
        return {CheckState::kBad, what, "not heard in its last minute", "look at its plug and its cable"};
    const std::string trouble = trouble_in(minute_of(name, *latest));
    char level[64];
    std::snprintf(level, sizeof level, "%.0f %s over its last minute", latest->level_db,
                  latest->sensitivity_db ? "dB SPL" : "dB re full scale");
    if (!trouble.empty()) return {CheckState::kBad, what, level, "it is " + trouble};
    return {CheckState::kGood, what, level, ""};
}

CheckLine contact_line(SQLite::Database& database, const ContactSettings& contact, std::int64_t utc_ns) {
    const std::string what = "contact " + contact.name;
    const auto trouble = read_contact_trouble(database, contact.name);
    if (trouble && trouble->utc_ns && utc_ns - *trouble->utc_ns < 60 * kMinute_ns) {
        return {CheckState::kBad, what, trouble->fault + " since " + utc_text(*trouble->utc_ns),
                "look at its gate, its wiring and its input module"};
    }
    const auto edge = read_latest_edge(database, std::string(name_of(contact.role)));
    if (!edge) {
        return {CheckState::kLook, what, "has not changed since the records began",
                "close it by hand and look again"};
    }
    return {CheckState::kGood, what,
            std::string(edge->closed ? "closed" : "open") +
                (edge->utc_ns ? " since " + utc_text(*edge->utc_ns) : std::string()),
            ""};
}

} // namespace

CheckLines check_records(const StationSettings& settings, const std::filesystem::path& out,
                         std::int64_t utc_ns) {
    const std::filesystem::path file = out / "records.db";
    if (!std::filesystem::exists(file)) {
        return {
            {CheckState::kLook, "records", "none yet in " + out.string(), "they begin with `quietpass run`"}};
    }
    try {
        const auto database = open_for_reading(file);
        check_version(*database, file);
        const LedgerHead head = read_ledger_head(*database);
        CheckLines lines = {
            {CheckState::kGood, "records", std::to_string(head.seq) + " records, readable", ""}};
        const std::filesystem::path key = key_file_of(settings, out);
        if (head.key_id.empty()) {
            lines.push_back({CheckState::kLook, "key", "nothing is signed yet",
                             "the first `quietpass run` makes the key; keep a copy of it in a safe place"});
        } else if (!std::filesystem::exists(key)) {
            lines.push_back({CheckState::kBad, "key", key.string() + " is not there, nothing can be signed",
                             "put it back; if it is lost: `quietpass key rotate --lost`"});
        } else if (!head.signed_utc_ns || utc_ns - *head.signed_utc_ns > kUnsigned_ns) {
            lines.push_back({CheckState::kLook, "key",
                             head.signed_utc_ns ? "signed last at " + utc_text(*head.signed_utc_ns)
                                                : std::string("no head is signed yet"),
                             "a daemon that runs signs each day; is it running?"});
        } else {
            lines.push_back({CheckState::kGood, "key",
                             head.key_id + ", signed last at " + utc_text(*head.signed_utc_ns), ""});
        }
        return lines;
    } catch (const Failure& failure) {
        return {{CheckState::kBad, "records", failure.what(), "mend that first"}};
    } catch (const SQLite::Exception& error) {
        return {{CheckState::kBad, "records", file.string() + ": " + error.what(),
                 "restore the latest backup, see the guide on backups"}};
    }
}

CheckLines check_heard(const StationSettings& settings, const std::filesystem::path& out,
                       std::int64_t utc_ns) {
    CheckLines lines;
    try {
        const auto database = open_for_reading(out / "records.db");
        for (const MicrophoneSettings& microphone : settings.microphones)
            lines.push_back(microphone_line(*database, microphone.name, utc_ns));
        for (const ContactSettings& contact : settings.contacts)
            lines.push_back(contact_line(*database, contact, utc_ns));
    } catch (const Failure&) { // check_records() says it
    } catch (const SQLite::Exception&) {
    }
    return lines;
}

} // namespace quietpass
