// finding and case as their user meets them: the real program on a real store, also while another has it
// open.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/end_to_end/program.h"
#include "tests/records/made_store.h"
#include "tests/review/made_clips.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

// A closed shift of twenty animals; those with calls 1 and 2 were vocal. The store stays open in this
// process, as the daemon has it.
struct ReviewedPlant {
    TestFolder folder;
    MadeStore made{folder / "records.db"};
    std::int64_t shift = made.shift("2026-03-02T13:00:00Z");

    ReviewedPlant() {
        made.add(2, {.vocal = true});
        made.add(18);
        add_clip(made.store(), {.clip_id = 1,
                                .shift_id = shift,
                                .passage_id = 1,
                                .call_id = 1,
                                .start_s = 29.0,
                                .end_s = 34.0,
                                .file = "clips/one.flac"});
        made.close();
    }

    Outcome run(std::vector<std::string> words) const {
        words.insert(words.begin(), quietpass_program());
        words.insert(words.end(), {"--out", folder.path().string()});
        return run_program(words);
    }

    std::string out(const std::vector<std::string>& words) const {
        const Outcome outcome = run(words);
        INFO(outcome.err);
        REQUIRE(outcome.exit_code == 0);
        CHECK(outcome.err.empty());
        for (const std::string& line : lines_of(outcome.out)) {
            INFO(line);
            if (words.back() != "--csv" && words.back() != "--for-tune") CHECK(line.size() <= 80);
        }
        return outcome.out;
    }

    nlohmann::json json(std::vector<std::string> words) const {
        words.emplace_back("--json");
        return nlohmann::json::parse(run(words).out);
    }

    std::string refused(const std::vector<std::string>& words) const {
        const Outcome outcome = run(words);
        CHECK(outcome.exit_code == 2);
        CHECK(outcome.out.empty());
        CHECK(lines_of(outcome.err).size() == 1);
        return outcome.err;
    }
};

bool says(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

} // namespace

TEST_CASE("finding add, list, figures and withdraw: the reviewed share beside the machine's") {
    const ReviewedPlant plant;
    const std::string said =
        plant.out({"finding", "add", "--shift", "1", "--call", "1", "--verdict", "not_a_call",
                   "--just-before", "held_long", "--note", "a gate", "--by", "A. Reviewer"});
    CHECK(says(said, "finding 1: call 1 is not_a_call"));
    CHECK(says(said, "shift 1 amended, number 1"));
    const auto listed = plant.json({"finding", "list"});
    REQUIRE(listed["findings"].size() == 1);
    CHECK(listed["findings"][0]["passage_id"] == 1);
    CHECK(listed["findings"][0]["just_before"] == "held_long");
    CHECK(says(plant.out({"finding", "list"}), "A. Reviewer"));
    const auto figures = plant.json({"finding", "figures", "--shift", "1"});
    CHECK(figures["figures"][0]["by"] == "machine");
    CHECK(figures["figures"][0]["vocal"] == 2);
    CHECK(figures["figures"][0]["percent"] == Approx(10.0));
    CHECK(figures["figures"][1]["by"] == "review");
    CHECK(figures["figures"][1]["vocal"] == 1);
    CHECK(figures["figures"][1]["percent_high"].get<double>() == Approx(23.61).margin(0.01));
    CHECK(figures["amendments"] == 1);
    CHECK(says(plant.out({"finding", "figures", "--shift", "1"}), "only lower"));
    const std::string tune = plant.out({"finding", "list", "--for-tune"});
    CHECK(says(tune, "file,start_s,end_s,finding,recording\n"));
    CHECK(says(tune, "clips/one.flac,2.000,3.000,not_call,shift 1 passage 1\n"));
    CHECK(says(plant.out({"finding", "withdraw", "1", "--by", "B. Lead"}), "amendment 2"));
    CHECK(says(plant.out({"finding", "list"}), "There are none."));
    CHECK(plant.json({"finding", "list", "--all"})["findings"][0]["withdrawn"] == true);
}

TEST_CASE("Findings that can't be are refused in one line with exit 2") {
    const ReviewedPlant plant;
    CHECK(says(
        plant.refused({"finding", "add", "--shift", "1", "--call", "9", "--verdict", "call", "--by", "A"}),
        "no call 9"));
    CHECK(says(
        plant.refused({"finding", "add", "--shift", "7", "--call", "1", "--verdict", "call", "--by", "A"}),
        "no shift 7"));
    CHECK(says(
        plant.refused({"finding", "add", "--shift", "1", "--call", "1", "--verdict", "maybe", "--by", "A"}),
        "--verdict"));
    CHECK(
        says(plant.refused({"finding", "add", "--shift", "1", "--call", "1", "--verdict", "call"}), "--by"));
    CHECK(says(plant.refused({"finding", "withdraw", "5", "--by", "A"}), "no such finding"));
}

TEST_CASE("A case from its opening to its closing, every step on record") {
    const ReviewedPlant plant;
    CHECK(says(plant.out({"case", "open", "--reference", "C-2026-7", "--asked-by", "a neighbour", "--from",
                          "2026-03-02 06:00", "--to", "2026-03-02 06:02", "--note", "cries at the box",
                          "--by", "B. Lead"}),
               "case 1: opened"));
    CHECK(
        says(plant.out({"case", "gather", "1", "--by", "B. Lead"}), "3 passages, 2 calls and 1 clip added"));
    CHECK(
        says(plant.out({"case", "gather", "1", "--by", "B. Lead"}), "0 passages, 0 calls and 0 clips added"));
    plant.out(
        {"case", "drop", "1", "--shift", "1", "--passage", "3", "--why", "not asked for", "--by", "B. Lead"});
    plant.out({"case", "note", "1", "asked the shift lead", "--by", "B. Lead"});
    plant.out({"case", "decide", "1", "the head holder was set too high; mended", "--by", "B. Lead"});
    const auto shown = plant.json({"case", "show", "1"});
    CHECK(shown["passages"] == 2);
    CHECK(shown["held"] == 1);
    CHECK(shown["state"] == "open");
    CHECK(shown["decision"] == "the head holder was set too high; mended");
    CHECK(shown["events"].size() == 6 + 3);
    CHECK(says(plant.out({"case", "show", "1"}), "Decision: the head holder"));
    CHECK(says(plant.out({"case", "close", "1", "--by", "B. Lead"}), "holds 1 clip"));
    CHECK(says(plant.refused({"case", "note", "1", "too late", "--by", "B. Lead"}), "closed"));
    CHECK(says(plant.out({"case", "list"}), "None is open."));
    CHECK(says(plant.out({"case", "list", "--all"}), "C-2026-7"));
    CHECK(says(plant.out({"case", "release", "1", "--by", "B. Lead"}), "1 clip released"));
    CHECK(plant.json({"case", "show", "1"})["held"] == 0);
    plant.out({"case", "reopen", "1", "--why", "asked again", "--by", "B. Lead"});
    CHECK(says(plant.out({"case", "hold", "1", "--by", "B. Lead"}), "1 clip more held"));
    CHECK(plant.json({"case", "show", "1"})["held"] == 1);
}

TEST_CASE("Steps of a case that can't be are refused in one line with exit 2") {
    const ReviewedPlant plant;
    CHECK(says(plant.refused({"case", "show", "4"}), "no such case"));
    plant.out({"case", "open", "--reference", "C-1", "--asked-by", "x", "--by", "B. Lead"});
    CHECK(says(plant.refused({"case", "gather", "1", "--passage", "2", "--by", "B. Lead"}), "--shift"));
    CHECK(says(plant.refused({"case", "gather", "1", "--shift", "1", "--passage", "99", "--by", "B. Lead"}),
               "no passage 99"));
    CHECK(says(
        plant.refused({"case", "drop", "1", "--shift", "1", "--passage", "2", "--why", "x", "--by", "B"}),
        "not in the case"));
    CHECK(says(plant.refused({"case", "hold", "1", "--clip", "12", "--by", "B. Lead"}), "no clip 12"));
    CHECK(says(plant.refused({"case", "reopen", "1", "--by", "B. Lead"}), "open already"));
}
