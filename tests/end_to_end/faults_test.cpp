// What goes wrong around the daemon, through the real one: a microphone through PortAudio, contacts through
// Modbus, the store on the disk.
#include <signal.h>
#include <sys/resource.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <set>
#include <sstream>

#include "daemon/alarms/stored_alarm.h"
#include "daemon/records/store.h"
#include "tests/end_to_end/plant.h"

using namespace quietpass::test;
using quietpass::StoredAlarm;

namespace {

std::vector<StoredAlarm> alarms_from(const Plant& plant, const std::string& cause) {
    const quietpass::Store store(plant.folder / "out" / "records.db");
    auto alarms = quietpass::alarms_in(store.alarm_events());
    std::erase_if(alarms, [&](const StoredAlarm& alarm) { return alarm.last_seen.cause != cause; });
    return alarms;
}

bool told(const Plant& plant, const std::string& event_and_cause) {
    return plant.log().find(event_and_cause) != std::string::npos;
}

// The short shift's contacts, and one that chatters: so many closings and openings, step_s apart.
std::filesystem::path with_chatter(const std::filesystem::path& folder, double from_s, int changes,
                                   double step_s) {
    std::vector<std::pair<double, std::string>> rows;
    for (const std::string& line : lines_of(text_of(made_shift("short") / "contacts.csv"))) {
        if (std::isdigit(static_cast<unsigned char>(line[0])) != 0) rows.emplace_back(std::stod(line), line);
    }
    for (int i = 0; i < changes; ++i) {
        std::ostringstream row;
        row.precision(3);
        row << std::fixed << from_s + i * step_s << ",prodded," << (i % 2 == 0 ? 1 : 0);
        rows.emplace_back(from_s + i * step_s, row.str());
    }
    std::stable_sort(rows.begin(), rows.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    std::string text = "time_s,input,state\n";
    for (const auto& [time_s, row] : rows) text += row + "\n";
    write_text(folder / "chatter.csv", text);
    return folder / "chatter.csv";
}

void set_offset(const std::filesystem::path& file, double seconds) {
    const auto ns = static_cast<std::int64_t>(seconds * 1e9);
    std::fstream out(file, std::ios::in | std::ios::out | std::ios::binary);
    out.write(reinterpret_cast<const char*>(&ns), sizeof ns);
    out.flush();
    REQUIRE(out);
}

void limit_files(pid_t pid, rlim_t bytes) {
    rlimit limit{};
    REQUIRE(prlimit(pid, RLIMIT_FSIZE, nullptr, &limit) == 0);
    limit.rlim_cur = bytes;
    REQUIRE(prlimit(pid, RLIMIT_FSIZE, &limit, nullptr) == 0);
}

} // namespace

TEST_CASE("A contact that chatters is an alarm of that contact and makes no animal") {
    TestFolder made;
    const Plant plant("", {"--contacts", with_chatter(made / "", 12.0, 160, 0.2).string()});
    const Outcome outcome = run_program(plant.run_words("60"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto alarms = alarms_from(plant, "contact_fault");
    REQUIRE(alarms.size() == 1);
    CHECK(alarms[0].last_seen.source == "prodded");
    CHECK(alarms[0].last_seen.what.find("chatter") != std::string::npos);

    const Plant calm;
    const Outcome without = run_program(calm.run_words("60"), calm.environment());
    REQUIRE(without.exit_code == 0);
    CHECK(alarms_from(calm, "contact_fault").empty());
    CHECK(plant.shift_record()["passages"] == calm.shift_record()["passages"]);
    CHECK(plant.shift_record()["stunned_twice"] == calm.shift_record()["stunned_twice"]);
}

TEST_CASE("A wall clock that steps by an hour is an alarm; passages and their lengths are as before") {
    const double step_s = GENERATE(3600.0, -3600.0);
    CAPTURE(step_s);
    const Plant plant("", {}, "short", "1"); // another speed has a clock of its own
    const std::filesystem::path offset = plant.folder / "offset";
    write_text(offset, std::string(8, '\0'));
    Environment environment = plant.environment();
    environment["LD_PRELOAD"] = STEPPED_CLOCK;
    environment["QUIETPASS_STEPPED_CLOCK"] = offset.string();
    Background daemon(plant.run_words("40"), environment, plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return told(plant, "listens at"); }));
    set_offset(offset, step_s);
    CHECK(wait_until([&] { return told(plant, "raised (clock_adrift)"); }));
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    const auto alarms = alarms_from(plant, "clock_adrift");
    REQUIRE_FALSE(alarms.empty());
    CHECK(std::any_of(alarms.begin(), alarms.end(),
                      [](const StoredAlarm& alarm) { return alarm.last_seen.source == "utc"; }));
    const quietpass::Store store(plant.folder / "out" / "records.db");
    REQUIRE(store.shifts().size() == 1);
    const auto rows = store.read_shift(store.shifts()[0].shift_id);
    REQUIRE(rows);
    REQUIRE_FALSE(rows->passages.empty());
    std::set<double> entries_s;
    for (const std::string& line : lines_of(text_of(made_shift("short") / "truth.csv"))) {
        if (std::isdigit(static_cast<unsigned char>(line[0])) != 0)
            entries_s.insert(std::stod(line.substr(line.find(',') + 1)));
    }
    for (const quietpass::Passage& passage : rows->passages) {
        const bool known = std::any_of(entries_s.begin(), entries_s.end(), [&](double entered_s) {
            return std::abs(entered_s - passage.entered_s) < 0.2;
        });
        CHECK(known);
    }
}

TEST_CASE("A disk that takes no more is an alarm, and what waited is written when it has room again") {
    const Plant plant;
    Background daemon(plant.run_words("75"), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 1; }));
    // No file grows beyond this: to the daemon that is a full disk, of which its log, being short, has no
    // part.
    constexpr rlim_t kFull = 16384;
    REQUIRE(plant.log().size() < kFull / 2);
    limit_files(daemon.pid(), kFull);
    CHECK(wait_until([&] { return told(plant, "raised (records_not_written)"); }));
    const std::size_t shown = Plant::passages_shown(daemon);
    CHECK(wait_until([&] { return Plant::passages_shown(daemon) > shown; })); // it goes on listening
    limit_files(daemon.pid(), RLIM_INFINITY);
    CHECK(wait_until([&] { return told(plant, "records are written again"); }));
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    const auto alarms = alarms_from(plant, "records_not_written");
    REQUIRE(alarms.size() == 1);
    const quietpass::Store store(plant.folder / "out" / "records.db");
    REQUIRE(store.shifts().size() == 1);
    const auto rows = store.read_shift(store.shifts()[0].shift_id);
    REQUIRE(rows);
    CHECK(rows->passages.size() == Plant::passages_shown(daemon));
    CHECK(plant.shift_record()["passages"] == rows->passages.size());
}
