// passages, factors, lot, note, change and handaudit as their user meets them: the real program on a real
// store.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/end_to_end/program.h"
#include "tests/records/made_store.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

struct RecordedPlant {
    TestFolder folder;
    MadeStore made{folder / "records.db"};

    Outcome run(std::vector<std::string> words, const std::vector<std::string>& more = {}) const {
        words.insert(words.begin(), quietpass_program());
        words.insert(words.end(), {"--out", folder.path().string()});
        words.insert(words.end(), more.begin(), more.end());
        return run_program(words);
    }

    std::string out(const std::vector<std::string>& words, const std::vector<std::string>& more = {}) const {
        const Outcome outcome = run(words, more);
        INFO(outcome.err);
        REQUIRE(outcome.exit_code == 0);
        CHECK(outcome.err.empty());
        return outcome.out;
    }

    nlohmann::json json(const std::vector<std::string>& words,
                        const std::vector<std::string>& more = {}) const {
        std::vector<std::string> with = more;
        with.push_back("--json");
        return nlohmann::json::parse(out(words, with));
    }
};

void check_80_columns(const std::string& text) {
    for (const std::string& line : lines_of(text)) {
        INFO(line);
        CHECK(line.size() <= 80);
    }
}

bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

// One line, so that a test can look for words wherever they were broken.
std::string flat(std::string text) {
    for (char& letter : text) {
        if (letter == '\n') letter = ' ';
    }
    return text;
}

} // namespace

TEST_CASE("passages lists what the store has, as table, CSV and JSON") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z");
    plant.made.add(2);
    plant.made.add(1, {.vocal = true, .phase = Phase::kHeld, .prods = 2});
    plant.made.add(1, {.excluded = "overrun"});
    const std::string text = plant.out({"passages"});
    check_80_columns(text);
    CHECK(has(text, "2026-03-02 06:01:30"));
    CHECK(has(text, "VOCAL held"));
    CHECK(has(text, "not scored: overrun"));
    CHECK(has(text, "4 passages, 3 scored; not scored: overrun 1."));
    const auto csv = lines_of(plant.out({"passages"}, {"--csv", "--vocal"}));
    REQUIRE(csv.size() >= 2);
    CHECK(csv[0].starts_with(
        "shift_id,passage_id,entered,entered_s,held_for_s,prods,stuns,calls,vocal,phases"));
    CHECK(csv[1].starts_with("1,3,2026-03-02T13:01:30.000Z,90.000,8.000,2,1,1,1,held"));
    const auto json = plant.json({"passages"}, {"--last", "2"});
    REQUIRE(json["passages"].size() == 2);
    CHECK(json["passages"][1]["excluded"] == "overrun");
    CHECK(plant.json({"passages"}, {"--from", "2026-03-02 06:01", "--to", "2026-03-02T13:01:30Z"})["passages"]
              .size() == 1);
}

TEST_CASE("factors shows where and with what animals were vocal, and names no cause") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z");
    plant.made.add_share(4, 100, {.phase = Phase::kEntry, .held_for_s = 8.0});
    plant.made.add_share(16, 100,
                         {.phase = Phase::kHeld, .held_for_s = 25.0, .prods = 3, .bang_after_s = 0.5});
    const std::string text = plant.out({"factors"});
    check_80_columns(text);
    CHECK(has(text, "hold 20-40 s"));
    CHECK(has(text, "16/100"));
    CHECK(has(text, "prods 3+"));
    CHECK(has(text, "after a bang "));
    CHECK(has(text, "common practice"));
    CHECK(has(text, "held: held too long"));
    CHECK(has(flat(text), "names no cause"));
    CHECK(has(flat(text), "Animals of one lot are not independent"));
    const auto json = plant.json({"factors"});
    CHECK(json["scored"] == 200);
    CHECK(json["phases"][0]["look_at"] == "footing, light, people seen ahead, the prod");
    CHECK(json["phases"][0]["look_at_basis"] == "common practice");
    bool seen = false;
    for (const auto& row : json["factors"]) {
        if (row["factor"] != "hold_time" || row["level"] != "20 to 40 s") continue;
        seen = true;
        CHECK(row["risk_ratio"] == 4.0);
        CHECK(row["passages"] == 100);
        CHECK(row["rest_passages"] == 100);
        CHECK(row["fisher_p"].get<double>() == Approx(.00808).epsilon(.01)); // computed
    }
    CHECK(seen);
    CHECK(plant.json({"factors"}, {"--phase", "held"})["factors"].size() > 0);
    CHECK(has(plant.out({"factors"}, {"--csv"}), "hold_time,20 to 40 s,passages,16,100,16.00"));
    // A bang half a second before each of these calls: a second each.
    CHECK(has(plant.out({"factors"}, {"--csv"}), "bang_before,any,seconds,16,100,16.00"));
}

TEST_CASE("Lots are entered, listed, withdrawn, and have figures that allow for their differing") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z", 10.0);
    plant.made.add_share(2, 100);
    plant.made.add_share(20, 100);
    CHECK(has(plant.out({"lot", "add", "north"}, {"--at", "2026-03-02 06:00"}),
              "lot 1, from 2026-03-02 06:00:00"));
    plant.out({"lot", "add", "soth"}, {"--at", "2026-03-02 06:16:45"});
    plant.out({"lot", "withdraw", "2"});
    plant.out({"lot", "add", "south"}, {"--at", "2026-03-02 06:16:45", "--by", "anna"});
    const std::string list = plant.out({"lot", "list"});
    CHECK(has(list, "south"));
    CHECK_FALSE(has(list, "soth"));
    CHECK(plant.made.store().journal().size() == 4); // nothing was altered
    const std::string text = plant.out({"lot", "figures"});
    check_80_columns(text);
    const auto json = plant.json({"lot", "figures"});
    REQUIRE(json["lots"].size() == 2);
    CHECK(json["lots"][0]["lot"] == "north");
    CHECK(json["lots"][0]["vocal"] == 2);
    CHECK(json["lots"][1]["vocal"] == 20);
    CHECK(json["design_effect"].get<double>() > 5.0);
    CHECK(json["percent_high_by_lots"].get<double>() > json["percent_high"].get<double>());
    plant.out({"lot", "end"}, {"--at", "2026-03-02 06:20"});
    CHECK(plant.json({"lot", "figures"})["without_lot"].get<int>() > 0);
}

TEST_CASE("A note's passages are a row of the factors") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z");
    plant.made.add_share(2, 40);
    plant.made.add_share(8, 40);
    plant.out({"note", "add", "rain on the roof"},
              {"--at", "2026-03-02 06:20:15", "--until", "2026-03-02 07:00"});
    bool seen = false;
    const auto json = plant.json({"factors"});
    for (const auto& row : json["factors"]) {
        if (row["factor"] != "note") continue;
        seen = true;
        CHECK(row["level"] == "rain on the roof");
        CHECK(row["vocal"] == 8);
        CHECK(row["passages"] == 40);
        CHECK(row["rest_vocal"] == 2);
    }
    CHECK(seen);
}

TEST_CASE("A change from 4 of 100 to 1 of 100 is entered, compared, and not shown") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z");
    plant.made.add_share(4, 100);
    plant.made.add(3, {.vocal = true, .excluded = "silent"});
    plant.made.close();
    plant.made.shift("2026-03-03T13:00:00Z");
    plant.made.add_share(1, 100);
    plant.out({"change", "add"},
              {"--at", "2026-03-03 05:00", "--what", "lamp moved", "--station-part", "light"});
    CHECK(has(plant.out({"change", "list"}), "lamp moved"));
    const std::string text = plant.out({"change", "compare", "1"}, {"--hoped", "1"});
    check_80_columns(text);
    CHECK(has(text, "change 1 of 2026-03-03 05:00:00: lamp moved (light)"));
    CHECK(has(flat(text), "4 of 100 to 1 of 100 is not shown"));
    CHECK(has(flat(text), "no number of passages after is enough"));
    CHECK(has(text, "Run chart, groups of 50 scored passages"));
    CHECK(has(text, "03-02 06:00"));
    const auto json = plant.json({"change", "compare", "1"}, {"--hoped", "1"});
    CHECK(json["shown"] == false);
    CHECK(json["before_vocal"] == 4);
    CHECK(json["before_passages"] == 100);
    CHECK(json["after_percent"] == 1.0);
    CHECK(json["fisher_p"].get<double>() == Approx(.369).margin(.0005));
    CHECK(json["difference_points"].get<double>() == Approx(-3.0));
    CHECK(json["needed_each"].get<int>() > 400);
    CHECK(json["needed_more_after"].is_null());
    REQUIRE(json["run_chart"].size() == 4);
    CHECK(json["run_chart"][0]["side"] == "before");
    CHECK(json["run_chart"][3]["vocal"] == 1);
    CHECK(lines_of(plant.out({"change", "compare", "1"}, {"--csv", "--group", "25"})).size() >= 9);

    CHECK(plant.json({"change", "compare", "1"}, {"--before", "50", "--after", "10m"})["before_passages"] ==
          50);
    plant.out({"change", "add"}, {"--at", "2026-03-03 06:20", "--what", "new prod"});
    CHECK(has(flat(plant.out({"change", "compare", "1"})), "Change 2 (new prod"));
}

TEST_CASE("A hand audit is kept and held against the machine's passages") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z");
    plant.made.add(3, {.vocal = true, .phase = Phase::kHeld});
    plant.made.add(95);
    plant.made.add(2, {.vocal = true});
    std::string audit = "passage,vocal,auditor,note\n";
    for (int id = 1; id <= 100; ++id) {
        audit += std::to_string(id) + (id <= 4 ? ",vocal,anna," : ",silent,anna,") + (id == 4 ? "soft" : "") +
                 "\n";
    }
    const std::string file = plant.folder.write("monday.csv", audit);
    CHECK(plant.out({"handaudit", "add", file}) == "audit 1: 100 animals, 4 vocal\n");
    const std::string text = plant.out({"handaudit", "compare"});
    check_80_columns(text);
    CHECK(has(flat(text), "vocal to both 3, to the person only 1, to the machine only 2, silent to both 94"));
    CHECK(has(text, "soft"));
    const auto json = plant.json({"handaudit", "compare", "1"});
    CHECK(json["compared"] == 100);
    for (const auto& row : json["figures"]) {
        if (row["measure"] == "kappa") CHECK(row["value"].get<double>() == Approx(.651).margin(.0005));
        if (row["measure"] == "pabak") CHECK(row["value"].get<double>() == Approx(.94));
        if (row["measure"] == "sensitivity") CHECK(row["n"] == 4);
    }
    CHECK(json["differences"].size() == 3);
    CHECK(has(plant.out({"handaudit", "list"}), "monday.csv"));

    const Outcome again = plant.run({"handaudit", "add", file});
    CHECK(again.exit_code == 2);
    CHECK(has(again.err, "is there already, as audit 1"));
    plant.out({"handaudit", "withdraw", "1"});
    CHECK(plant.run({"handaudit", "compare"}).exit_code == 2);
    CHECK(plant.made.store().hand_audits().front().rows.size() == 100); // nothing was lost
}

TEST_CASE("The guides' sample is taken from the record with the limit and basis of its shift") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z");
    plant.made.add_share(2, 100);
    plant.made.add(4, {.excluded = "clipped"});
    plant.made.add_share(3, 50);
    CHECK(plant.run({"handaudit", "sample"}).exit_code == 2); // no limit is known while the shift is open
    CHECK(plant.json({"handaudit", "sample"}, {"--limit", "1", "--basis", "x"})["samples"][0]["verdict"] ==
          "over");
    plant.made.close(3.0, "test guide, first edition");
    const std::string text = plant.out({"handaudit", "sample"}, {"--sequential", "1,10"});
    check_80_columns(text);
    CHECK(has(flat(text), "Limit 3 % (test guide, first edition): at most 3 vocal of 100."));
    CHECK(has(flat(text), "passes 65 in 100"));
    CHECK(has(flat(text), "A sequential audit of these passages"));
    const auto json = plant.json({"handaudit", "sample"});
    CHECK(json["samples"][0]["vocal"] == 4);
    CHECK(json["samples"][0]["passages"] == 100);
    CHECK(json["samples"][0]["passed_over"] == 4);
    CHECK(json["samples"][0]["verdict"] == "over");
    CHECK(json["samples"][0]["basis"] == "test guide, first edition");
    const auto fifties = plant.json({"handaudit", "sample"}, {"--of", "50", "--all"});
    REQUIRE(fifties["samples"].size() == 3);
    CHECK(fifties["samples"][2]["vocal"] == 3);
    CHECK(fifties["samples"][0]["verdict"] == "within");
}

TEST_CASE("Bad usage of the record commands is one line and exit 2, and nothing is written") {
    RecordedPlant plant;
    plant.made.shift("2026-03-02T13:00:00Z");
    plant.made.add(5);
    const auto refused = [&](const std::vector<std::string>& words, const std::vector<std::string>& more,
                             const std::string& said) {
        const Outcome outcome = plant.run(words, more);
        INFO(outcome.err);
        CHECK(outcome.exit_code == 2);
        CHECK(outcome.out.empty());
        CHECK(lines_of(outcome.err).size() == 1);
        CHECK(has(outcome.err, said));
    };
    refused({"passages"}, {"--from", "yesterday"}, "--from yesterday: expected the station's time");
    refused({"passages"}, {"--from", "2026-03-02 07:00", "--to", "2026-03-02 06:00"}, "later than --from");
    refused({"passages"}, {"--shift", "7"}, "no such shift");
    refused({"passages"}, {"--csv", "--json"}, "--json");
    refused({"factors"}, {"--hold-bands", "10,5"}, "rising numbers");
    refused({"factors"}, {"--phase", "after_stun"}, "--phase");
    refused({"lot", "add", " "}, {}, "the text is empty");
    refused({"lot", "withdraw", "1"}, {}, "no such lot");
    refused({"note", "add", "x"}, {"--at", "2026-03-02 07:00", "--until", "2026-03-02 06:00"}, "--until");
    refused({"change", "compare", "1"}, {}, "no such change");
    CHECK(plant.run({"handaudit", "add", plant.folder.path("none.csv")}).exit_code == 1);
    refused({"handaudit", "compare"}, {}, "no such audit");
    refused({"handaudit", "sample"}, {"--limit", "3", "--sequential", "10,1"}, "--sequential");
    CHECK(plant.made.store().journal().empty());

    const TestFolder empty;
    const Outcome outcome =
        run_program({quietpass_program(), "passages", "--records", empty.path().string()});
    CHECK(outcome.exit_code == 2);
    CHECK(has(outcome.err, "no record store is there"));
    CHECK(std::filesystem::is_empty(empty.path()));
}

TEST_CASE("A store of files without a date has factors, and no change can be compared in it") {
    const TestFolder folder;
    {
        Store store(folder / "shift.db");
        ShiftOpened shift;
        shift.shift_id = 1;
        shift.timezone = "UTC";
        std::vector<StoreRow> rows = {shift};
        for (int i = 1; i <= 20; ++i) {
            Passage passage;
            passage.id = i;
            passage.entered_s = 30.0 * i;
            passage.end_s = passage.entered_s + 20.0;
            passage.prods = i % 2;
            rows.push_back(PassageRow{1, passage, std::nullopt});
        }
        store.write(rows);
    }
    const auto run = [&](std::vector<std::string> words) {
        words.insert(words.begin(), quietpass_program());
        words.insert(words.end(), {"--records", folder.path().string()});
        return run_program(words);
    };
    CHECK(has(run({"passages"}).out, "30.0 s"));
    CHECK(has(run({"factors"}).out, "prods 1"));
    CHECK(run({"change", "add", "--at", "2026-03-02 06:00", "--what", "lamp"}).exit_code == 0);
    CHECK(has(run({"change", "compare", "1"}).out, "No scored passages before"));
}
