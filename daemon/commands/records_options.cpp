#include "daemon/commands/records_options.h"

#include <cstdio>

#include "daemon/failure.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/store_place.h"

namespace quietpass {

namespace {

StationTime time_of(const Store& store) {
    std::optional<StationTime> time;
    store.read([&](SQLite::Database& database) { time = station_time(database); });
    return *time;
}

} // namespace

void add_records(CLI::App& command, RecordsOptions& options) {
    command
        .add_option("--out,--records", options.records,
                    "Folder that `run` or `score` wrote to, or the store in it")
        ->required();
}

void add_span(CLI::App& command, RecordsOptions& options) {
    command.add_option("--from", options.from,
                       "Passages entered from here on, as \"2026-03-02 06:00\"\n"
                       "(the station's time) or 2026-03-02T13:00:00Z");
    command.add_option("--to", options.to, "Passages entered before here");
    command.add_option("--shift", options.shift, "Only the shift of this id")->check(CLI::PositiveNumber);
}

void add_output(CLI::App& command, RecordsOptions& options) {
    CLI::Option* csv = command.add_flag("--csv", options.csv, "As CSV");
    command.add_flag("--json", options.json, "As JSON")->excludes(csv);
}

OpenRecords::OpenRecords(std::string command, const std::string& records, RecordsAccess access)
    : command_(std::move(command)),
      store_(access == RecordsAccess::kWriting ? Store(store_in(command_, records))
                                               : Store::for_reading(store_in(command_, records))),
      time_(time_of(store_)) {}

std::int64_t OpenRecords::moment(const std::string& option, const std::string& text) const {
    return time_.moment(command_ + ": " + option, text);
}

RecordSpan OpenRecords::span(const RecordsOptions& options) const {
    RecordSpan span;
    if (!options.from.empty()) span.from_utc_ns = moment("--from", options.from);
    if (!options.to.empty()) span.to_utc_ns = moment("--to", options.to);
    if (span.from_utc_ns && span.to_utc_ns && *span.from_utc_ns >= *span.to_utc_ns) {
        fail("--to must be later than --from");
    }
    if (options.shift > 0) {
        span.shift_id = options.shift;
        bool known = false;
        store_.read([&](SQLite::Database& database) {
            known = read_stored_shift(database, options.shift).has_value();
        });
        if (known) return span;
        fail("--shift " + std::to_string(options.shift) + ": no such shift in " + store_.file().string());
    }
    return span;
}

void OpenRecords::fail(const std::string& what) const {
    throw Failure(kExitUsage, command_ + ": " + what);
}

void print(const Statement& statement, Output output) {
    const std::string text = written(statement, output);
    std::fwrite(text.data(), 1, text.size(), stdout);
    std::fflush(stdout);
}

} // namespace quietpass
