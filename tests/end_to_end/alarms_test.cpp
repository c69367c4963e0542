// Alarms through the real daemon: a microphone through PortAudio, contacts through Modbus, the store on the
// disk, and persons who acknowledge by a command of their own.

#include <SQLiteCpp/Database.h>
#include <signal.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <fstream>
#include <iostream>
#include <string>
#include <vector>

#include "daemon/alarms/stored_alarm.h"
#include "daemon/clock.h"
#include "daemon/records/store.h"
#include "daemon/records/utc_text.h"
#include "tests/end_to_end/plant.h"

using namespace quietpass::test;
using quietpass::AlarmEventRow;
using quietpass::StoredAlarm;

namespace {

void add_settings(const Plant& plant, const std::string& lines) {
    write_text(plant.folder / "station.toml",
               text_of(plant.folder / "station.toml") + "\n[alarms]\n" + lines);
}

std::vector<StoredAlarm> alarms_of(const Plant& plant, const std::string& cause) {
    const quietpass::Store store(plant.folder / "out" / "records.db");
    auto alarms = quietpass::alarms_in(store.alarm_events());
    std::erase_if(alarms, [&](const StoredAlarm& alarm) { return alarm.last_seen.cause != cause; });
    return alarms;
}

std::size_t lines_with(const std::string& text, const std::string& words) {
    const auto lines = lines_of(text);
    return static_cast<std::size_t>(std::count_if(lines.begin(), lines.end(), [&](const std::string& line) {
        return line.find(words) != std::string::npos;
    }));
}

// When the log told of each message of this cause that asks for a person.
std::vector<std::int64_t> told_ns(const Plant& plant, const std::string& cause) {
    std::vector<std::int64_t> times;
    for (const std::string& line : lines_of(plant.log())) {
        const bool asks = line.find(" raised (" + cause + ")") != std::string::npos ||
                          line.find(" again (" + cause + ")") != std::string::npos;
        const auto utc = quietpass::utc_from_text(line.substr(0, line.find(' ')));
        if (asks && utc) times.push_back(*utc);
    }
    return times;
}

// UTC of the microphone's first sample: the plug-in wrote its monotonic time.
std::int64_t first_sample_utc_ns(const Plant& plant) {
    std::ifstream file(plant.folder / "started");
    std::int64_t monotonic_ns = 0;
    REQUIRE(file >> monotonic_ns);
    const quietpass::RealClock clock;
    return monotonic_ns + clock.utc_ns() - clock.monotonic_ns();
}

// Ends of the calls in truth_calls.csv, seconds.
std::vector<double> true_call_ends_s(const std::string& shift) {
    std::vector<double> ends_s;
    for (const std::string& line : lines_of(text_of(made_shift(shift) / "truth_calls.csv"))) {
        const auto comma = line.find(',');
        if (std::isdigit(static_cast<unsigned char>(line[0])) != 0)
            ends_s.push_back(std::stod(line.substr(comma + 1)));
    }
    return ends_s;
}

Outcome alarms_command(const Plant& plant, std::vector<std::string> words) {
    words.insert(words.begin(), {quietpass_program(), "alarms"});
    words.insert(words.end(), {"--out", (plant.folder / "out").string()});
    return run_program(words);
}

} // namespace

TEST_CASE(
    "In real time the alarm of a call after the stun is handed over within a second of the call's end") {
    const Plant plant("", {}, "after_stun", "1");
    const Outcome outcome = run_program(plant.run_words("35"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto ends_s = true_call_ends_s("after_stun");
    const auto handed_over_ns = told_ns(plant, "call_after_stun");
    REQUIRE(ends_s.size() == 2);
    REQUIRE(handed_over_ns.size() == 2); // one for each animal, though it is one alarm
    const std::int64_t first_ns = first_sample_utc_ns(plant);
    for (std::size_t i = 0; i < ends_s.size(); ++i) {
        const double latency_s = static_cast<double>(handed_over_ns[i] - first_ns) * 1e-9 - ends_s[i];
        std::cout << "call after the stun: handed over " << latency_s << " s after the end of its sound\n";
        CHECK(latency_s <= 1.0);
    }
    const auto alarms = alarms_of(plant, "call_after_stun");
    REQUIRE(alarms.size() == 1);
    CHECK(alarms[0].last_seen.count == 2);
    CHECK(alarms[0].last_seen.severity == "at_once");
}

TEST_CASE("A hold longer than the limit is told while the animal is still held") {
    const Plant plant;
    add_settings(plant, "hold_limit_s = 2\ngone_s = 5\n");
    const Outcome outcome = run_program(plant.run_words("40"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto alarms = alarms_of(plant, "hold_too_long");
    REQUIRE_FALSE(alarms.empty());
    const quietpass::Store store(plant.folder / "out" / "records.db");
    const auto rows = store.read_shift(store.shifts().at(0).shift_id);
    REQUIRE(rows);
    REQUIRE_FALSE(rows->passages.empty());
    const quietpass::Passage& first = rows->passages[0];
    const std::int64_t start_ns = *rows->shift.start_utc_ns;
    const double raised_s = static_cast<double>(alarms[0].raised_ns - start_ns) * 1e-9;
    CHECK(raised_s > first.held_s + 2.0);
    CHECK(raised_s < first.stunned_s);
    CHECK(alarms[0].state == "cleared");
}

TEST_CASE("A contact source that is lost and comes back is one alarm, raised and cleared once") {
    const Plant plant("", {"--mute", "26:10"});
    add_settings(plant, "contacts_lost_s = 1\ngone_s = 10\n");
    const Outcome outcome = run_program(plant.run_words("70"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto alarms = alarms_of(plant, "contacts_lost");
    REQUIRE(alarms.size() == 1);
    CHECK(alarms[0].state == "cleared");
    CHECK(alarms[0].last_seen.count == 1);
    CHECK(lines_with(plant.log(), "raised (contacts_lost)") == 1);
    CHECK(lines_with(plant.log(), "cleared (contacts_lost)") == 1);
}

TEST_CASE("A contact that stays closed is an alarm of that contact, over when it opens") {
    const Plant plant;
    std::string station = text_of(plant.folder / "station.toml");
    const std::string held = "role = \"held\"\n";
    station.insert(station.find(held) + held.size(), "stuck_after_s = 2\n");
    write_text(plant.folder / "station.toml", station);
    add_settings(plant, "gone_s = 1\n");
    const Outcome outcome = run_program(plant.run_words("30"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto alarms = alarms_of(plant, "contact_fault");
    REQUIRE_FALSE(alarms.empty());
    CHECK(alarms[0].last_seen.source == "held");
    CHECK(alarms[0].last_seen.what == "Contact held is stuck.");
    CHECK(alarms[0].state == "cleared");
}

TEST_CASE("A microphone that goes away and comes back is one alarm, raised and cleared once") {
    const Plant plant("gone 1248000 16");
    add_settings(plant, "gone_s = 5\n");
    const Outcome outcome = run_program(plant.run_words("70"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto alarms = alarms_of(plant, "microphone_lost");
    REQUIRE(alarms.size() == 1);
    CHECK(alarms[0].last_seen.source == "head");
    CHECK(alarms[0].last_seen.count == 1);
    CHECK(alarms[0].state == "cleared");
}

TEST_CASE("An alarm is told of while the records can't be written and kept once they can be") {
    const Plant plant;
    add_settings(plant, "gone_s = 2\n");
    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 1; }));
    {
        SQLite::Database other((plant.folder / "out" / "records.db").string(), SQLite::OPEN_READWRITE, 5000);
        other.exec("BEGIN IMMEDIATE");
        CHECK(wait_until([&] { return lines_with(plant.log(), "raised (records_not_written)") == 1; }));
        other.exec("ROLLBACK");
    }
    CHECK(wait_until([&] { return lines_with(plant.log(), "cleared (records_not_written)") == 1; }));
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
    REQUIRE(alarms_of(plant, "records_not_written").size() == 1);
    CHECK(alarms_of(plant, "records_not_written")[0].state == "cleared");
}

TEST_CASE("Times that are known less well than is set raise an alarm of that microphone") {
    const Plant plant;
    add_settings(plant, "fit_error_ms = 1\n"); // a fit that begins says 20
    const Outcome outcome = run_program(plant.run_words("2"), plant.environment());
    REQUIRE(outcome.exit_code == 0);
    REQUIRE(alarms_of(plant, "clock_adrift").size() == 1);
    CHECK(alarms_of(plant, "clock_adrift")[0].last_seen.source == "head");
}

TEST_CASE(
    "An alarm acknowledged by another process is known to the daemon in a moment, and survives kill -9") {
    const Plant plant;
    add_settings(plant, "disk_low_mb = 1000000000\n"); // more than any disk has
    {
        Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
        REQUIRE(wait_until([&] { return lines_with(plant.log(), "raised (disk_low)") == 1; }));
        REQUIRE(wait_until(
            [&] { return alarms_command(plant, {"list"}).out.find("disk") != std::string::npos; }));
        const Outcome listed = alarms_command(plant, {"list"});
        CHECK(listed.out.find("raised") != std::string::npos);
        for (const std::string& line : lines_of(listed.out)) CHECK(line.size() <= 80);
        const Outcome done = alarms_command(plant, {"ack", "1", "--by", "M. Berg"});
        INFO(done.err);
        CHECK(done.exit_code == 0);
        CHECK(wait_until([&] { return plant.log().find("Acknowledged by M. Berg") != std::string::npos; }));
        // Once the daemon has written that it told, a kill can't make it tell again.
        CHECK(wait_until([&] {
            const auto events = alarms_of(plant, "disk_low").at(0).events;
            return events.back().event == "acknowledged" && events.back().told;
        }));
        const Outcome twice = alarms_command(plant, {"ack", "1", "--by", "N. Roy"});
        CHECK(twice.exit_code == 1);
        CHECK(twice.err.find("acknowledged by M. Berg already") != std::string::npos);
        daemon.signal(SIGKILL);
        daemon.wait();
    }
    const Outcome next = run_program(plant.run_words("3"), plant.environment());
    INFO(next.err << plant.log());
    REQUIRE(next.exit_code == 0);
    CHECK(lines_with(plant.log(), "raised (disk_low)") == 1);
    CHECK(lines_with(plant.log(), "acknowledged (disk_low)") == 1);
    const auto shown = nlohmann::json::parse(alarms_command(plant, {"show", "1", "--json"}).out);
    REQUIRE(shown.size() == 1);
    CHECK(shown[0]["state"] == "acknowledged");
    CHECK(shown[0]["acknowledged_by"] == "M. Berg");
    CHECK(shown[0]["events"].size() >= 2);
    CHECK(lines_of(alarms_command(plant, {"list", "--csv"}).out)[1].starts_with("1,acknowledged,disk_low,"));
}

TEST_CASE("`alarms` says in one line what it can't do") {
    const TestFolder folder;
    const auto fails = [](const std::vector<std::string>& words, int code) {
        std::vector<std::string> all = {quietpass_program(), "alarms"};
        all.insert(all.end(), words.begin(), words.end());
        const Outcome outcome = run_program(all);
        CHECK(outcome.exit_code == code);
        CHECK(lines_of(outcome.err).size() == 1);
        return outcome.err;
    };
    CHECK(fails({"list", "--out", folder.path().string()}, 2).find("no record store is there") !=
          std::string::npos);
    { const quietpass::Store store(folder / "records.db"); }
    CHECK(fails({"ack", "7", "--out", folder.path().string()}, 2).find("no alarm 7") != std::string::npos);
    CHECK(fails({"list", "--csv", "--json", "--out", folder.path().string()}, 2).find("alarms list") !=
          std::string::npos);
    CHECK(fails({}, 2).find("see `quietpass alarms --help`") != std::string::npos);
}
