#include "daemon/records/planned_starts.h"

#include <SQLiteCpp/Statement.h>

#include <nlohmann/json.hpp>
#include <vector>

#include "classifiers/toml_text.h"
#include "daemon/failure.h"
#include "daemon/records/station_rows.h"
#include "daemon/settings/hours_table.h"

namespace quietpass {

namespace {

std::string file_of_record(const std::string& record_json) {
    const auto record = nlohmann::json::parse(record_json, nullptr, false);
    if (!record.is_object()) return "";
    const auto hashes = record.find("hashes");
    if (hashes == record.end() || !hashes->is_object()) return "";
    const auto hash = hashes->find("configuration");
    return hash != hashes->end() && hash->is_string() ? hash->get<std::string>() : "";
}

std::string last_file(SQLite::Database& database) {
    SQLite::Statement query(
        database, "SELECT sha256 FROM documents WHERE kind = 'station_file' ORDER BY seq DESC LIMIT 1");
    return query.executeStep() ? query.getColumn(0).getString() : "";
}

// The hours alone: the rest of a file of an older version may be one that this version refuses.
std::optional<Schedule> schedule_in(const std::string& text, const std::string& timezone) {
    try {
        const toml::table file = toml_from(text, "station file");
        std::vector<ShiftSettings> shifts;
        StrictTable top(file, "station file", "");
        for (const toml::table* const table : top.tables("shift")) {
            StrictTable hours(*table, "station file", "shift");
            ShiftSettings shift;
            shift.name = hours.text("name", "a name");
            read_hours(hours, shift);
            shifts.push_back(std::move(shift));
        }
        return Schedule(timezone, shifts);
    } catch (const toml::parse_error&) {
        return std::nullopt;
    } catch (const Failure&) {
        return std::nullopt;
    }
}

} // namespace

const std::optional<Schedule>& PlannedStarts::schedule_of(const std::string& file_sha256,
                                                          const std::string& timezone) {
    const auto [place, is_new] = schedules_.try_emplace({file_sha256, timezone});
    if (is_new) {
        if (const auto text = read_document(database_, "station_file", file_sha256))
            place->second = schedule_in(*text, timezone);
    }
    return place->second;
}

std::optional<std::int64_t> PlannedStarts::of(const StoredShift& shift) {
    if (!shift.start_utc_ns) return std::nullopt;
    const std::string file =
        shift.record_json.empty() ? last_file(database_) : file_of_record(shift.record_json);
    const std::optional<Schedule>& schedule = schedule_of(file, shift.timezone);
    if (!schedule) return std::nullopt;
    const std::optional<Shift> planned = schedule->shift_at(*shift.start_utc_ns);
    if (!planned || planned->name != shift.name) return std::nullopt;
    return planned->start_utc_ns;
}

} // namespace quietpass
