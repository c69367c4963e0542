#include <catch2/catch.hpp>
#include <string>

#include "daemon/settings/station_file.h"
#include "tests/settings/station_texts.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

AlarmSettings alarms_in(const std::string& alarms) {
    const TestFolder folder;
    return read_station_file(folder.write("s.toml", kWhole + alarms)).alarms;
}

} // namespace

TEST_CASE("A station file without [alarms] has the documented defaults", "[settings]") {
    const AlarmSettings alarms = alarms_in("");
    CHECK(alarms.off.empty());
    CHECK_FALSE(alarms.at_once);
    CHECK_FALSE(alarms.usual_percent);
    CHECK(alarms.false_alarm_passages == 5000.0);
    CHECK(alarms.hold_limit_s == 30.0);
    CHECK(alarms.again_at_once_s == 60.0);
}

TEST_CASE("[alarms] is read key by key", "[settings]") {
    const AlarmSettings alarms = alarms_in(
        "[alarms]\noff = [\"nothing_heard\"]\nat_once = [\"call_after_stun\", \"contacts_lost\"]\n"
        "usual_percent = 1\nraised_percent = 3\nfalse_alarm_passages = 2000\nvocal_k = 3\nvocal_of = 50\n"
        "stunned_once_percent = 99\nstunned_once_of = 200\nhold_limit_s = 20\nmicrophone_lost_s = 10\n"
        "contacts_lost_s = 2\nclock_error_s = 0.5\nfit_error_ms = 20\ndisk_low_mb = 500\n"
        "no_passage_minutes = 30\nnothing_heard_passages = 300\nagain_minutes = 5\nagain_at_once_s = 30\n"
        "remind_minutes = 60\nremind_at_once_minutes = 2\ngone_s = 20\nover_after_minutes = 10\n"
        "[[alarms.quiet]]\nstart = \"22:00\"\nend = \"05:00\"\ndays = [\"sat\"]\n");
    CHECK(alarms.off == std::vector{AlarmCause::kNothingHeard});
    REQUIRE(alarms.at_once);
    CHECK(alarms.at_once->size() == 2);
    CHECK(alarms.usual_percent == 1.0);
    CHECK(alarms.raised_percent == 3.0);
    CHECK(alarms.false_alarm_passages == 2000.0);
    CHECK(alarms.vocal_k == 3);
    CHECK(alarms.vocal_of == 50);
    CHECK(alarms.stunned_once_percent == 99.0);
    CHECK(alarms.stunned_once_of == 200);
    CHECK(alarms.hold_limit_s == 20.0);
    CHECK(alarms.microphone_lost_s == 10.0);
    CHECK(alarms.contacts_lost_s == 2.0);
    CHECK(alarms.clock_error_s == 0.5);
    CHECK(alarms.fit_error_s == Approx(0.02));
    CHECK(alarms.disk_low_mb == 500.0);
    CHECK(alarms.no_passage_s == 1800.0);
    CHECK(alarms.nothing_heard_passages == 300);
    CHECK(alarms.again_s == 300.0);
    CHECK(alarms.again_at_once_s == 30.0);
    CHECK(alarms.remind_s == 3600.0);
    CHECK(alarms.remind_at_once_s == 120.0);
    CHECK(alarms.gone_s == 20.0);
    CHECK(alarms.quiet_s == 600.0);
    REQUIRE(alarms.quiet_times.size() == 1);
    CHECK(alarms.quiet_times[0].start_minute == 22 * 60);
    CHECK(alarms.quiet_times[0].weekdays == std::vector<unsigned>{6});
}

TEST_CASE("What [alarms] can't mean is refused with its line and key", "[settings]") {
    const auto fails = [](const std::string& lines) {
        const std::string what = failure_of(kWhole + "[alarms]\n" + lines);
        return what.substr(what.find(": ") + 2);
    };
    CHECK(fails("off = [\"fire\"]\n").starts_with("alarms.off: expected \"call_after_stun\", "));
    CHECK(fails("usual_percent = 2\n") ==
          "alarms.usual_percent: expected usual_percent and raised_percent, both or neither");
    CHECK(fails("usual_percent = 2\nraised_percent = 2.5\n")
              .starts_with("alarms.raised_percent: expected 1.5 times"));
    CHECK(fails("vocal_k = 21\n") == "alarms.vocal_k: expected vocal_k to be vocal_of at most");
    CHECK(fails("vocal_of = 2.5\n").starts_with("alarms.vocal_of: expected a whole number"));
    CHECK(
        fails("hold_limit_s = 0\n").starts_with("alarms.hold_limit_s: expected a number of seconds above 0"));
    CHECK(fails("volume = 11\n").starts_with("alarms.volume: "));
    CHECK(fails("[[alarms.quiet]]\nstart = \"22:00\"\nend = \"5\"\n")
              .starts_with("alarms.quiet.end: expected a local time"));
    CHECK(
        fails(
            "[[alarms.quiet]]\nstart = \"22:00\"\nend = \"05:00\"\n[[alarms.quiet]]\nstart = \"04:00\"\nend "
            "= \"06:00\"\n") == "alarms.quiet.start: these quiet times overlap with others");
}
