// `quietpass report` as its user meets it.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "tests/end_to_end/program.h"
#include "tests/reports/made_plant.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

struct Plant {
    TestFolder folder;

    Plant() {
        MadePlant plant(folder / "records.db", cattle_box(), 3);
        for (const char* start : {"2026-03-02T13:00:00Z", "2026-03-03T13:00:00Z", "2026-03-09T13:00:00Z"}) {
            MadeShift shift;
            shift.start = start;
            shift.animals = 100;
            plant.add(shift);
        }
    }

    Outcome run(std::vector<std::string> words) const {
        words.insert(words.begin(), {quietpass_program(), "report", "--out", folder.path().string()});
        return run_program(words);
    }

    std::string out(const std::vector<std::string>& words) const {
        const Outcome outcome = run(words);
        INFO(outcome.err);
        REQUIRE(outcome.exit_code == 0);
        CHECK(outcome.err.empty());
        return outcome.out;
    }
};

} // namespace

TEST_CASE("report writes the latest shift, one by its number, a week, a month and a time between") {
    const Plant plant;
    const auto shifts = [&](const std::vector<std::string>& words) {
        std::vector<std::string> all = words;
        all.insert(all.end(), {"--format", "json"});
        std::vector<std::int64_t> ids;
        const nlohmann::json report = nlohmann::json::parse(plant.out(all));
        for (const auto& row : report["figures"]) {
            if (row["of"] == "shift") ids.push_back(row["shift_id"]);
        }
        return ids;
    };
    using Ids = std::vector<std::int64_t>;
    CHECK(shifts({}) == Ids{3});
    CHECK(shifts({"--shift", "2"}) == Ids{2});
    CHECK(shifts({"--week", "2026-W10"}) == Ids{1, 2});
    CHECK(shifts({"--month", "2026-03"}) == Ids{1, 2, 3});
    CHECK(shifts({"--from", "2026-03-03 00:00", "--to", "2026-03-09T13:00:00Z"}) == Ids{2});
    CHECK(shifts({"--from", "2026-03-03 00:00"}) == Ids{2, 3});
}

TEST_CASE("report --file writes all of it or nothing, and never over the records") {
    const Plant plant;
    const std::string file = (plant.folder / "march.pdf").string();
    CHECK(plant.out({"--month", "2026-03", "--format", "pdf", "--file", file}).empty());
    CHECK(text_of(file).starts_with("%PDF-"));
    CHECK(plant.out({"--month", "2026-03", "--format", "pdf"}) == text_of(file)); // the same bytes
    const Outcome over = plant.run({"--format", "csv", "--file", (plant.folder / "records.db").string()});
    CHECK(over.exit_code == 2);
    CHECK(over.err == "quietpass: report: --file " + (plant.folder / "records.db").string() +
                          ": is the record store; give another name\n");
    const Outcome folder = plant.run({"--format", "csv", "--file", plant.folder.path().string()});
    CHECK(folder.exit_code == 2);
}

TEST_CASE("report says in one line what is wrong with what it was given") {
    const Plant plant;
    const std::vector<std::vector<std::string>> bad = {
        {},
        {"--format", "doc"},
        {"--format", "pdf", "--paper", "a5"},
        {"--format", "csv", "--week", "2026-10"},
        {"--format", "csv", "--month", "2026-14"},
        {"--format", "csv", "--shift", "9"},
        {"--format", "csv", "--shift", "0"},
        {"--format", "csv", "--shift", "1", "--week", "2026-W10"},
        {"--format", "csv", "--week", "2026-W10", "--month", "2026-03"},
        {"--format", "csv", "--month", "2026-03", "--from", "2026-03-01 00:00"},
        {"--format", "csv", "--month", "2025-01"},
        {"--format", "csv", "--from", "yesterday"},
        {"--format", "csv", "--from", "2026-03-04 00:00", "--to", "2026-03-03 00:00"},
    };
    for (const auto& words : bad) {
        const Outcome outcome = plant.run(words);
        INFO(outcome.err);
        CHECK(outcome.exit_code == 2);
        CHECK(outcome.out.empty());
        CHECK(lines_of(outcome.err).size() == 1);
    }
    const TestFolder empty;
    const Outcome none =
        run_program({quietpass_program(), "report", "--out", empty.path().string(), "--format", "csv"});
    CHECK(none.exit_code == 2);
    CHECK(none.err.find("no record store is there") != std::string::npos);
}
