// The detectors, fed as the Station feeds them.
#include <algorithm>
#include <catch2/catch.hpp>

#include "daemon/alarms/station_alarms.h"
#include "tests/alarms/alarm_desk.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

StationSettings box() {
    StationSettings settings;
    settings.name = "box-2";
    settings.scoring.limit_percent = 5.0;
    settings.microphones.emplace_back().name = "head";
    for (const Role role : {Role::kEntered, Role::kHeld, Role::kStunned, Role::kReleased, Role::kStopped}) {
        ContactSettings& contact = settings.contacts.emplace_back();
        contact.role = role;
        contact.name = name_of(role);
    }
    return settings;
}

// A watched station whose sound and wall clock go on together.
struct Watched {
    explicit Watched(const StationSettings& settings = box())
        : desk(settings.alarms),
          schedule(settings.timezone, settings.shifts),
          detectors(settings, schedule, *desk.book) {}

    void until(double time_s) {
        const auto step_ns = static_cast<std::int64_t>((time_s - now_s) * 1e9);
        now_s = time_s;
        desk.now_ns += step_ns;
        detectors.turn({.utc_ns = desk.now_ns, .heard_until_s = now_s, .utc = std::nullopt});
        desk.book->advance(desk.now_ns);
    }

    void call(Phase phase, CallKind kind = CallKind::kMoo, std::int64_t passage_id = 1) {
        StationCall made;
        made.id = 1;
        made.microphone = "head";
        made.heard.kind = kind;
        made.heard.start_s = now_s - 1.0;
        made.heard.end_s = now_s - 0.5;
        made.passage_id = passage_id;
        made.phase = phase;
        if (phase == Phase::kAfterStun && can_count(kind)) detectors.on_after_stun_call(made);
        detectors.on_call(made);
        until(now_s);
    }

    std::vector<std::string> told(const std::string& cause) const {
        std::vector<std::string> events;
        for (const AlarmMessage& message : desk.messages) {
            if (message.cause == cause) events.push_back(message.event);
        }
        return events;
    }

    AlarmDesk desk;
    Schedule schedule;
    StationAlarms detectors;
    double now_s = 0.0;
};

using Events = std::vector<std::string>;

} // namespace

TEST_CASE("Only a call after the stun alarms, and a grunt never does") {
    Watched station;
    station.until(10.0);
    station.call(Phase::kHeld);
    station.call(Phase::kAtStun);
    station.call(Phase::kAfterStun, CallKind::kGrunt);
    CHECK(station.desk.messages.empty());
    station.call(Phase::kAfterStun);
    CHECK(station.told("call_after_stun") == Events{"raised"});
    CHECK(station.desk.messages[0].text.find("passage 1") != std::string::npos);
}

TEST_CASE("Where the cut comes without stunning a call after it is reported, not alarmed") {
    StationSettings settings = box();
    for (ContactSettings& contact : settings.contacts) {
        if (contact.role == Role::kStunned) contact.role = Role::kCut;
    }
    Watched station(settings);
    station.until(10.0);
    station.call(Phase::kAfterStun);
    Passage passage;
    passage.id = 1;
    passage.stuns = 2;
    station.detectors.on_passage(passage);
    station.until(12.0);
    CHECK(station.desk.messages.empty());
}

TEST_CASE("A hold longer than the limit alarms while it lasts, and is over when the animal is stunned") {
    Watched station;
    station.detectors.on_edge({5.0, Role::kHeld, true});
    station.until(34.9);
    CHECK(station.desk.messages.empty());
    station.until(35.1);
    CHECK(station.told("hold_too_long") == Events{"raised"});
    CHECK(station.desk.messages[0].severity == "at_once");
    station.detectors.on_edge({40.0, Role::kStunned, true});
    station.until(41.0);
    CHECK(station.told("hold_too_long") == Events{"raised"});
    station.until(101.0);
    CHECK(station.told("hold_too_long") == Events{"raised", "cleared"});
}

TEST_CASE("A hold whose contacts were lost is not known to last") {
    Watched station;
    station.detectors.on_edge({5.0, Role::kHeld, true});
    station.until(20.0);
    station.detectors.contacts_are_lost("192.0.2.10", 1.0);
    station.until(60.0);
    CHECK(station.told("hold_too_long").empty());
}

TEST_CASE("A contact source that is lost and back is raised and cleared once") {
    Watched station;
    for (double lost_s = 1.0; lost_s < 20.0; lost_s += 1.0) {
        station.detectors.contacts_are_lost("192.0.2.10", lost_s);
        station.until(station.now_s + 1.0);
        CHECK(station.told("contacts_lost").size() == (lost_s > 5.0 ? 1 : 0));
    }
    station.detectors.contacts_are_lost("192.0.2.10", 0.0);
    station.until(station.now_s + 0.1);
    station.until(station.now_s + 59.0);
    CHECK(station.told("contacts_lost") == Events{"raised"});
    station.until(station.now_s + 2.0);
    CHECK(station.told("contacts_lost") == Events{"raised", "cleared"});
}

TEST_CASE("A second stun is told when it happens, and not once more with its passage") {
    Watched station;
    station.until(4.0);
    station.detectors.on_second_stun({.passage_id = 7, .first_s = 3.0, .again_s = 4.0, .stuns = 2});
    station.until(4.1);
    CHECK(station.told("second_stun") == Events{"raised"});
    CHECK(station.desk.messages[0].facts.at("passage_id") == "7");
    Passage passage;
    passage.id = 7;
    passage.stuns = 2;
    passage.stunned_s = 3.0;
    station.detectors.on_passage(passage);
    station.until(20.0);
    CHECK(station.told("second_stun") == Events{"raised"});
}

TEST_CASE("A call that may be a stunned animal's is an alarm of its own, at once") {
    Watched station;
    StationCall call;
    call.microphone = "head";
    call.heard.kind = CallKind::kMoo;
    call.heard.start_s = 0.5;
    call.heard.end_s = 1.5;
    call.passage_id = 4;
    call.phase = Phase::kAfterStun;
    station.detectors.on_may_be_after_stun_call(call);
    station.until(2.0);
    CHECK(station.told("may_be_after_stun") == Events{"raised"});
    CHECK(station.told("call_after_stun").empty());
    CHECK(station.desk.messages[0].severity == "at_once");
    CHECK(station.desk.messages[0].facts.at("passage_id") == "4");
}

TEST_CASE("A microphone that is not heard for the set time is lost; sound lost again and again is too") {
    Watched station;
    station.detectors.sound_is_lost("head", 4.0);
    station.until(4.0);
    CHECK(station.desk.messages.empty());
    station.detectors.sound_is_lost("head", 6.0);
    station.until(6.0);
    CHECK(station.told("microphone_lost") == Events{"raised"});
    station.detectors.sound_is_lost("head", 0.0);
    station.until(70.0);
    station.until(131.0);
    CHECK(station.told("microphone_lost") == Events{"raised", "cleared"});
    for (const double start_s : {131.0, 133.0, 135.0}) {
        station.detectors.on_gap({"head", start_s, start_s + 1.8, GapCause::kOverrun});
        station.until(start_s + 2.0);
    }
    CHECK(station.told("microphone_lost") == Events{"raised", "cleared", "raised"});
}

TEST_CASE("A microphone in trouble is told by its minutes of work, and cleared by a good one") {
    Watched station;
    MicrophoneMinute minute;
    minute.microphone = "head";
    minute.worked_s = 60.0;
    minute.hum_s = 40.0;
    station.detectors.on_health(minute);
    station.until(60.0);
    CHECK(station.told("microphone_fault") == Events{"raised"});
    CHECK(station.desk.messages[0].text.find("hum") != std::string::npos);
    minute.worked_s = 0.0; // nobody works: says nothing
    station.detectors.on_health(minute);
    station.until(200.0);
    CHECK(station.told("microphone_fault") == Events{"raised"});
    minute.worked_s = 60.0;
    minute.hum_s = 0.0;
    station.detectors.on_health(minute);
    station.until(260.0);
    station.until(321.0);
    CHECK(station.told("microphone_fault") == Events{"raised", "cleared"});
}

TEST_CASE("No animal for too long within a shift alarms, not outside it and not while the line is stopped") {
    StationSettings settings = box();
    settings.shifts.push_back({"early", 5 * 60, 13 * 60, {}}); // the desk starts at 05:00 UTC
    Watched station(settings);
    station.detectors.on_edge({10.0, Role::kEntered, true});
    station.until(10.0);
    station.until(2700.0);
    CHECK(station.told("no_passage").empty());
    station.until(2711.0);
    CHECK(station.told("no_passage") == Events{"raised"});
    station.detectors.on_edge({2720.0, Role::kStopped, true});
    station.until(2721.0);
    station.until(2782.0);
    CHECK(station.told("no_passage") == Events{"raised", "cleared"});
    station.until(9000.0);
    station.detectors.on_edge({9000.0, Role::kStopped, false});
    station.until(9001.0);
    station.until(11000.0);
    CHECK(station.told("no_passage") == Events{"raised", "cleared"});
    station.until(11800.0);
    CHECK(station.told("no_passage").back() == "raised");
    station.until(8.0 * 3600.0 + 1.0); // 13:00: the shift is over
    station.until(8.0 * 3600.0 + 62.0);
    CHECK(station.told("no_passage").back() == "cleared");

    Watched without_shifts;
    without_shifts.until(1.0);
    without_shifts.until(100'000.0);
    CHECK(without_shifts.told("no_passage").empty());
}

TEST_CASE("A break in the plan is no time without animals: the wait begins anew after it") {
    StationSettings settings = box();
    settings.shifts.push_back({"early", 5 * 60, 13 * 60, {}});
    settings.breaks.push_back({"breakfast", 5 * 60 + 30, 6 * 60 + 30, {}});
    Watched station(settings);
    station.until(1.0);
    for (double time_s = 600.0; time_s <= 8000.0; time_s += 600.0) station.until(time_s);
    CHECK(station.told("no_passage").empty());
    station.until(8300.0); // 45 min after the break's end at 5400, as it was seen at 5400
    CHECK(station.told("no_passage") == Events{"raised"});
}

TEST_CASE("Vocal passages raise the rate's alarms, and passages of before the start count with them") {
    const auto add = [](Watched& station, int count, bool vocal) {
        for (int i = 0; i < count; ++i) {
            Passage passage;
            passage.id = i + 1;
            passage.stuns = 1;
            passage.vocal = vocal;
            passage.calls = vocal ? 1 : 0;
            station.detectors.on_passage(passage);
            station.until(station.now_s + 20.0);
        }
    };
    Watched station;
    Passage before;
    before.vocal = true;
    before.calls = 1;
    before.stuns = 1;
    for (int i = 0; i < 3; ++i) station.detectors.recall(before);
    station.until(1.0);
    CHECK(station.desk.messages.empty());
    add(station, 1, true);
    CHECK(station.told("many_vocal") == Events{"raised"});
    add(station, 1, true);
    CHECK(station.told("rate_up") == Events{"raised"});
    CHECK(station.desk.messages.back().text.find("once in 5036 passages") != std::string::npos);
    add(station, 25, false);
    CHECK(station.told("many_vocal") == Events{"raised", "cleared"});
    CHECK(station.told("rate_up") == Events{"raised", "cleared"});
}
