#include <catch2/catch.hpp>
#include <set>

#include "tests/alarms/alarm_desk.h"

using namespace quietpass;
using namespace quietpass::testing;

using Lines = std::vector<std::string>;

TEST_CASE("A call after the stun is told at once, with what to do and the caution") {
    AlarmDesk desk;
    desk.happened(AlarmCause::kCallAfterStun, 41);
    REQUIRE(desk.messages.size() == 1);
    const AlarmMessage& message = desk.messages[0];
    CHECK(message.event == "raised");
    CHECK(message.severity == "at_once");
    CHECK(message.cause == "call_after_stun");
    CHECK(message.station == "box-2");
    CHECK(message.utc_ns == desk.now_ns);
    CHECK(message.facts.at("passage_id") == "41");
    CHECK(message.text.find("trained person checks the animal") != std::string::npos);
    CHECK(message.text.find("no safety device") != std::string::npos);
}

TEST_CASE("What happens again and again is one alarm that counts, told no more often than the gap") {
    AlarmDesk desk;
    for (int i = 0; i < 100; ++i) {
        desk.happened(AlarmCause::kSecondStun, i);
        desk.after(1.0);
    }
    CHECK(desk.told() == Lines{"raised 1", "again 60"});
    desk.after(60.0);
    CHECK(desk.told() == Lines{"raised 1", "again 60", "again 100"});
    for (const AlarmMessage& message : desk.messages) CHECK(message.alarm == "1");
}

TEST_CASE("A call after the stun of another animal does not wait for the gap, one of the same animal does") {
    AlarmDesk desk;
    desk.happened(AlarmCause::kCallAfterStun, 1);
    desk.after(2.0);
    desk.happened(AlarmCause::kCallAfterStun, 1);
    CHECK(desk.told() == Lines{"raised 1"});
    desk.after(2.0);
    desk.happened(AlarmCause::kCallAfterStun, 2);
    CHECK(desk.told() == Lines{"raised 1", "again 3"});
}

TEST_CASE("Each source has an alarm of its own") {
    AlarmDesk desk;
    desk.there(AlarmCause::kContactsLost, "192.0.2.10");
    desk.there(AlarmCause::kContactsLost, "192.0.2.11");
    CHECK(desk.messages.size() == 2);
    CHECK(desk.messages[0].alarm != desk.messages[1].alarm);
    CHECK(desk.messages[1].headline.find("192.0.2.11") != std::string::npos);
}

TEST_CASE("What nobody acknowledges is told again after the set time; acknowledged, it is not") {
    AlarmDesk desk;
    desk.there(AlarmCause::kDiskLow);
    desk.after(1799.0);
    CHECK(desk.messages.size() == 1);
    desk.after(2.0);
    REQUIRE(desk.told() == Lines{"raised 1", "again 1"});
    CHECK(desk.messages[1].text.find("nobody has acknowledged") != std::string::npos);
    desk.person("acknowledged", 1);
    REQUIRE(desk.messages.size() == 3);
    CHECK(desk.messages[2].event == "acknowledged");
    CHECK(desk.messages[2].text.find("M. Berg") != std::string::npos);
    desk.after(100'000.0);
    CHECK(desk.messages.size() == 3);
    CHECK(desk.book->is_open(AlarmCause::kDiskLow, ""));
}

TEST_CASE("A source that comes and goes is one alarm, cleared when it stays away") {
    AlarmDesk desk;
    for (int i = 0; i < 20; ++i) {
        desk.there(AlarmCause::kContactsLost, "a");
        desk.after(5.0);
        desk.gone(AlarmCause::kContactsLost, "a");
        desk.after(20.0);
    }
    CHECK(desk.told() == Lines{"raised 1"}); // 500 s: within the gap of 600
    desk.after(60.0);
    REQUIRE(desk.told() == Lines{"raised 1", "cleared 20"});
    CHECK(desk.messages[1].text.find("Nobody acknowledged") != std::string::npos);
}

TEST_CASE("An acknowledged call after the stun asks for a person again when another animal calls") {
    AlarmDesk desk;
    desk.happened(AlarmCause::kCallAfterStun, 1);
    desk.person("acknowledged", 1);
    desk.happened(AlarmCause::kCallAfterStun, 2);
    CHECK(desk.told() == Lines{"raised 1", "acknowledged 1", "again 2"});
}

TEST_CASE("What a person clears while it is still there comes back only when it goes on") {
    AlarmDesk desk;
    desk.there(AlarmCause::kMicrophoneFault, "head");
    desk.person("cleared", 1);
    for (int i = 0; i < 29; ++i) {
        desk.after(60.0);
        desk.there(AlarmCause::kMicrophoneFault, "head");
    }
    CHECK(desk.told() == Lines{"raised 1", "cleared 1"});
    desk.after(61.0);
    REQUIRE(desk.told() == Lines{"raised 1", "cleared 1", "raised 1"});
    CHECK(desk.messages[2].alarm == "2");
}

TEST_CASE("In quiet times only what is at once is told; the rest is told when they end, if it still stands") {
    AlarmSettings settings;
    settings.quiet_times.push_back({"quiet", 22 * 60, 6 * 60, {}});
    AlarmDesk desk(settings); // 05:00 UTC
    desk.there(AlarmCause::kDiskLow);
    desk.there(AlarmCause::kClockAdrift, "utc");
    CHECK(desk.messages.empty());
    desk.happened(AlarmCause::kCallAfterStun, 1);
    CHECK(desk.messages.size() == 1);
    desk.gone(AlarmCause::kClockAdrift, "utc");
    desk.after(3500.0);
    const auto raised_of = [&](const std::string& cause) {
        return std::count_if(desk.messages.begin(), desk.messages.end(), [&](const AlarmMessage& message) {
            return message.cause == cause && message.event == "raised";
        });
    };
    CHECK(raised_of("disk_low") == 0);
    desk.after(101.0);
    CHECK(raised_of("disk_low") == 1);
    CHECK(raised_of("clock_adrift") == 0);
    // The store has it all the same.
    CHECK(std::count_if(desk.rows.begin(), desk.rows.end(),
                        [](const AlarmEventRow& row) { return row.cause == "clock_adrift"; }) == 2);
}

TEST_CASE("A quiet time that a restart falls into forgets nothing") {
    AlarmSettings settings;
    settings.quiet_times.push_back({"quiet", 22 * 60, 6 * 60, {}});
    AlarmDesk desk(settings);
    desk.there(AlarmCause::kDiskLow);
    desk.restart();
    desk.there(AlarmCause::kDiskLow);
    desk.after(3601.0);
    CHECK(desk.told() == Lines{"raised 1"});
}

TEST_CASE(
    "An alarm that stood before a restart goes on under its number, unless its cause is not seen any more") {
    AlarmDesk desk;
    desk.there(AlarmCause::kContactsLost, "a");
    desk.there(AlarmCause::kMicrophoneLost, "head");
    desk.restart();
    desk.after(5.0);
    desk.there(AlarmCause::kContactsLost, "a");
    CHECK(desk.messages.size() == 2);
    desk.after(601.0); // nobody has said anything of the microphone
    REQUIRE(desk.messages.size() == 3);
    CHECK(desk.messages[2].event == "cleared");
    CHECK(desk.messages[2].cause == "microphone_lost");
    desk.gone(AlarmCause::kContactsLost, "a");
    desk.after(61.0);
    CHECK(desk.told() == Lines{"raised 1", "raised 1", "cleared 1", "cleared 1"});
    desk.there(AlarmCause::kDiskLow);
    CHECK(desk.messages.back().alarm == "3");
}

TEST_CASE("A cause that is set off raises nothing; severities are as set") {
    AlarmSettings settings;
    settings.off = {AlarmCause::kDiskLow};
    settings.at_once = {{AlarmCause::kContactsLost}};
    AlarmDesk desk(settings);
    desk.there(AlarmCause::kDiskLow);
    CHECK(desk.rows.empty());
    desk.there(AlarmCause::kContactsLost, "a");
    desk.happened(AlarmCause::kCallAfterStun);
    CHECK(desk.messages[0].severity == "at_once");
    CHECK(desk.messages[1].severity == "soon");
}

TEST_CASE("A person's row of an alarm that is over, or of none, is passed over") {
    AlarmDesk desk;
    desk.happened(AlarmCause::kSecondStun);
    desk.person("cleared", 1);
    desk.person("acknowledged", 1);
    desk.person("acknowledged", 77);
    CHECK(desk.told() == Lines{"raised 1", "cleared 1"});
}

TEST_CASE("Ids of messages are unique, over restarts too") {
    AlarmDesk desk;
    for (int i = 0; i < 30; ++i) {
        desk.happened(AlarmCause::kCallAfterStun, i);
        if (i % 7 == 0) desk.restart();
        if (i % 10 == 0) desk.person("cleared", desk.last_alarm());
        desk.after(1.0);
    }
    std::set<std::string> ids;
    for (const AlarmEventRow& row : desk.rows) CHECK(ids.insert(row.id).second);
}

TEST_CASE("What a kill kept from being written is told again under the same id; a new sighting has another") {
    AlarmDesk desk;
    desk.happened(AlarmCause::kCallAfterStun, 1);
    desk.person("acknowledged", 1);
    REQUIRE(desk.rows.back().event == "acknowledged");
    desk.rows.pop_back(); // told, and killed before it was written
    desk.restart();
    desk.after(1.0);
    REQUIRE(desk.messages.size() == 3);
    CHECK(desk.messages[2].id == desk.messages[1].id);
    desk.happened(AlarmCause::kCallAfterStun, 2);
    desk.rows.pop_back();
    desk.restart();
    desk.after(1.0);
    desk.happened(AlarmCause::kCallAfterStun, 3);
    REQUIRE(desk.messages.size() == 5);
    CHECK(desk.messages[4].id != desk.messages[3].id);
}

TEST_CASE("A computer's clock that steps back delays no message for long") {
    AlarmDesk desk;
    desk.happened(AlarmCause::kSecondStun, 1);
    desk.now_ns -= 3'600'000'000'000;
    desk.happened(AlarmCause::kSecondStun, 2);
    CHECK(desk.told().size() >= 2);
}
