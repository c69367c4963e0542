// The rules of a conveyor as examples. Until five animals have passed, the travel time is not known and
// closings go first in, first out; the later examples let a regular line pass first.
#include <catch2/catch.hpp>

#include <sstream>

#include "tests/passages/run_of_edges.h"

namespace quietpass {
namespace {

using Lines = std::vector<std::string>;

const std::vector<Role> kRoles = {Role::kEntered,  Role::kHeld,    Role::kStunned,
                                  Role::kReleased, Role::kProdded, Role::kStopped};
const std::vector<Role> kEntryAndStun = {Role::kEntered, Role::kStunned};

RestraintSettings conveyor_settings() {
    RestraintSettings settings;
    settings.kind = RestraintKind::kConveyor;
    return settings;
}

Outcome line(const std::vector<Role>& wired, const std::string& words, double end_s = 2000) {
    return outcome_of(conveyor_settings(), wired, words, end_s);
}

// Ten animals 10 s apart, entering at 0 … 90, stunned 40 s and released 52 s later; gone at 142.
constexpr const char* kRegularLine =
    "entered 0 entered 10 entered 20 entered 30 stunned 40 entered 40 stunned 50 entered 50 released 52 "
    "stunned 60 "
    "entered 60 released 62 stunned 70 entered 70 released 72 stunned 80 entered 80 released 82 stunned 90 "
    "entered 90 released 92 stunned 100 released 102 stunned 110 released 112 stunned 120 released 122 "
    "stunned 130 "
    "released 132 released 142 ";

// What came out after the regular line.
Lines after_regular_line(const std::string& words) {
    Lines lines = lines_of(line(kRoles, kRegularLine + words));
    REQUIRE(lines.size() >= 10);
    lines.erase(lines.begin(), lines.begin() + 10);
    return lines;
}

TEST_CASE("Animals in line are stunned and released first in, first out") {
    CHECK(
        lines_of(line(
            kRoles, "entered 0 entered 10 held 30 stunned 40 held 41 stunned 50 released 52 released 62")) ==
        Lines{"1: 0 held 30 stunned 40 released 52 end 52", "2: 10 held 41 stunned 50 released 62 end 62"});
}

TEST_CASE("On a conveyor without a released contact passages end after_stun_s after their stun") {
    CHECK(lines_of(line(kEntryAndStun, "entered 0 entered 10 stunned 40 stunned 50")) ==
          Lines{"1: 0 stunned 40 end 70", "2: 10 stunned 50 end 80"});
}

TEST_CASE("A second entry within shortest_s is the same animal in line") {
    CHECK(lines_of(line(kEntryAndStun, "entered 0 entered 0.8 entered 10 stunned 40 stunned 50")) ==
          Lines{"1: 0 stunned 40 end 70 [double_entry]", "2: 10 stunned 50 end 80"});
}

TEST_CASE("Prods on a conveyor go to the animal that entered last") {
    CHECK(lines_of(line(kRoles,
                        "entered 0 prodded 5 entered 10 prodded 11 prodded 12 stunned 40 stunned 50 "
                        "released 52 released 62")) ==
          Lines{"1: 0 stunned 40 prods 1 released 52 end 52", "2: 10 stunned 50 prods 2 released 62 end 62"});
}

TEST_CASE("A regular line gives as many passages, each with its own stun") {
    const Outcome outcome = line(kRoles, kRegularLine);
    REQUIRE(outcome.passages.size() == 10);
    for (const Passage& passage : outcome.passages) {
        CHECK(passage.stunned_s - passage.entered_s == 40);
        CHECK(passage.end_s - passage.entered_s == 52);
        CHECK(passage.flags.empty());
    }
    CHECK(outcome.strays.empty());
}

TEST_CASE("An animal counted twice is closed when the one behind it is stunned in time") {
    CHECK(after_regular_line("entered 200 entered 202 entered 212 stunned 240 stunned 252 released 252.1 "
                             "released 264") ==
          Lines{"11: 200 stunned 240 released 252.1 end 252.1",
                "12: 202 end 252 [no_stun lost_in_line double_entry] !no_animal",
                "13: 212 stunned 252 released 264 end 264"});
}

TEST_CASE("An animal whose stun was missed does not shift the stuns of those behind, and is not scored") {
    CHECK(after_regular_line(
              "entered 200 entered 210 entered 220 stunned 250 stunned 260 released 262 released 272") ==
          Lines{"11: 200 end 250 [no_stun lost_in_line] !stun_not_seen",
                "12: 210 stunned 250 released 262 end 262", "13: 220 stunned 260 released 272 end 272"});
}

TEST_CASE("Where no stun is wired, an animal that another overtook is not scored") {
    std::string words;
    for (int i = 0; i < 20; ++i) { // released 52 s after entry; one is missed
        if (i >= 6 && i != 15) words += "released " + std::to_string(10 * i - 8) + ' ';
        words += "entered " + std::to_string(10 * i) + ' ';
    }
    const Outcome outcome = line({Role::kEntered, Role::kReleased}, words, 200);
    REQUIRE(outcome.passages.size() == 20);
    CHECK(passage_line(outcome.passages[8]) == "9: 80 released 132 end 132");
    CHECK(passage_line(outcome.passages[9]) == "10: 90 end 152 [lost_in_line] !release_not_seen");
    CHECK(passage_line(outcome.passages[10]) == "11: 100 released 152 end 152");
}

TEST_CASE(
    "A stun much too early for everyone in line is an animal's whose entry was lost, and shifts nobody") {
    // The animal that would have entered at 200 was not counted.
    const Outcome outcome =
        line(kRoles, kRegularLine + std::string("entered 210 entered 220 stunned 240 stunned 250 "
                                                "released 252 stunned 260 released 262 "
                                                "released 272"));
    REQUIRE(outcome.passages.size() == 13);
    CHECK(passage_line(outcome.passages[10]) == "11: 210 stunned 250 released 262 end 262");
    CHECK(passage_line(outcome.passages[11]) == "12: 220 stunned 260 released 272 end 272");
    CHECK(passage_line(outcome.passages[12]) ==
          "13: 240 stunned 240 released 252 end 252 [entered_missing] !entry_not_seen");
    CHECK(outcome.strays.empty());
}

TEST_CASE("A stun that fits nobody is counted as an animal's that was not seen otherwise, and not scored") {
    const Outcome outcome =
        line(kRoles, kRegularLine + std::string("entered 210 entered 220 stunned 240 stunned 250 "
                                                "stunned 260 released 262 released 272"));
    REQUIRE(outcome.passages.size() == 13);
    CHECK(passage_line(outcome.passages[12]) ==
          "13: 240 stunned 240 end 262 [entered_missing never_released] !entry_not_seen");
}

TEST_CASE("An animal counted twice, farther apart than shortest_s, is one") {
    CHECK(after_regular_line(
              "entered 200 entered 203 entered 210 stunned 240 stunned 250 released 252 released 262") ==
          Lines{"11: 200 stunned 240 released 252 end 252",
                "12: 203 end 250 [no_stun lost_in_line double_entry] !no_animal",
                "13: 210 stunned 250 released 262 end 262"});
}

TEST_CASE("A stun just after another is the same animal's second") {
    CHECK(after_regular_line(
              "entered 200 entered 210 stunned 240 stunned 243 stunned 250 released 252 released 262") ==
          Lines{"11: 200 stunned 240 stuns 2 released 252 end 252 [second_stun]",
                "12: 210 stunned 250 released 262 end 262"});
}

TEST_CASE("A hold too early for everyone in line and its stun make an animal whose entry is missing") {
    std::string words;
    for (int i = 0; i < 10; ++i) { // each held 30, stunned 40, released 45 s after entry; 50 s apart
        std::ostringstream out;
        out << "entered " << 50 * i << " held " << 50 * i + 30 << " stunned " << 50 * i + 40 << " released "
            << 50 * i + 45 << ' ';
        words += out.str();
    }
    const Outcome outcome = line(
        kRoles, words + "entered 520 held 530 stunned 540 released 545 held 550 stunned 560 released 565");
    REQUIRE(outcome.passages.size() == 12);
    CHECK(passage_line(outcome.passages[10]) == "11: 520 held 550 stunned 560 released 565 end 565");
    CHECK(passage_line(outcome.passages[11]) ==
          "12: 530 held 530 stunned 540 released 545 end 545 [entered_missing] !entry_not_seen");
    CHECK(outcome.strays.empty());
}

TEST_CASE("With nobody in line a stun and a release are strays") {
    CHECK(stray_lines_of(line(kRoles, "stunned 10 released 400")) ==
          Lines{"stunned 10: no animal in the restrainer", "released 400: no animal in the restrainer"});
}

TEST_CASE("A stopped line makes nobody overdue") {
    CHECK(after_regular_line(
              "entered 200 entered 210 stopped 220 -stopped 460 stunned 480 stunned 490 released 492 "
              "released 502") == Lines{"11: 200 stunned 480 released 492 end 492 [line_stopped]",
                                       "12: 210 stunned 490 released 502 end 502 [line_stopped]"});
}

TEST_CASE("What stays in line too long is ended, a stop lengthening that no more than twofold") {
    CHECK(lines_of(line(kEntryAndStun, "entered 0")) == Lines{"1: 0 end 300 [no_stun too_long] !too_long"});
    const std::vector<Role> with_stop = {Role::kEntered, Role::kStunned, Role::kStopped};
    CHECK(lines_of(line(with_stop, "entered 0 stopped 100 -stopped 150")) ==
          Lines{"1: 0 end 350 [line_stopped no_stun too_long] !too_long"});
    CHECK(lines_of(line(with_stop, "entered 0 stopped 100")) ==
          Lines{"1: 0 end 600 [line_stopped no_stun too_long] !too_long"});
}

TEST_CASE("A call on a conveyor goes to the animal its microphone's zone speaks for") {
    Cycle cycle(conveyor_settings(), kRoles);
    for (const Edge& edge : edges_from("entered 0 entered 10 held 30 stunned 40 released 52"))
        cycle.take(edge);
    cycle.known_until(60);
    CHECK(cycle.placeable_until_s() == 59.5);
    CHECK(placed(cycle, 20, MicrophoneZone::kEntry) == "2 entry");
    CHECK(placed(cycle, 20, MicrophoneZone::kStun) == "1 entry");
    CHECK(placed(cycle, 35, MicrophoneZone::kAll) == "1 held");
    CHECK(placed(cycle, 40.5, MicrophoneZone::kAll) == "1 at_stun");
    CHECK(placed(cycle, 40.6, MicrophoneZone::kAll) == "2 entry");
    CHECK(std::string(cycle.place(40.6, MicrophoneZone::kAll).reason) == "the animal nearest the stun");
}

TEST_CASE("With nobody behind it in line a call after the stun is the stunned animal's") {
    Cycle cycle(conveyor_settings(), kRoles);
    for (const Edge& edge : edges_from("entered 0 stunned 40 released 52")) cycle.take(edge);
    CHECK(placed(cycle, 45) == "1 after_stun");
    CHECK(placed(cycle, 52) == "no animal in the restrainer");
}

TEST_CASE("A stun too early for everyone is not given to an animal that was held after it") {
    RestraintSettings settings = conveyor_settings();
    settings.longest_s = 40;
    settings.after_stun_s = 12;
    const std::vector<Role> wired = {Role::kStunned, Role::kEntered, Role::kBodyHeld, Role::kReleased};
    const Outcome outcome = outcome_of(
        settings, wired,
        "body_held 0 stunned 3 entered 10 stunned 32.9 body_held 35.9 entered 37.4 entered 47.4 stunned 47.4 "
        "entered 61.4 stunned 61.5 stunned 61.5 entered 83 stunned 84.5 stunned 87.5 entered 88.5 "
        "stunned 102.5 body_held 104 stunned 104.7",
        204.7);
    for (const Passage& passage : outcome.passages) {
        CAPTURE(passage_line(passage));
        CHECK_FALSE(passage.stunned_s < passage.body_held_s);
        CHECK_FALSE(passage.stunned_s < passage.entered_s);
    }
}

TEST_CASE("A stun a little too early with another just behind it is one animal's, by the second") {
    // What was said of calls at the first of them stays true.
    CHECK(after_regular_line("entered 210 entered 220 stunned 246 stunned 247.5 released 259.5 stunned 260 "
                             "released 272") ==
          Lines{"11: 210 stunned 247.5 released 259.5 end 259.5", "12: 220 stunned 260 released 272 end 272",
                "13: 246 stunned 246 end 247.5 [entered_missing never_released] !no_animal"});
}

} // namespace
} // namespace quietpass
