#include "daemon/review/enter_findings.h"

#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "daemon/failure.h"
#include "daemon/records/finding_rows.h"
#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

constexpr std::int64_t kNow = 1'772'500'000'000'000'000;

// Ten animals, those with calls 1 and 2 vocal.
struct ReviewedPlant {
    TestFolder folder;
    MadeStore made{folder / "records.db"};
    std::int64_t shift = made.shift("2026-03-02T13:00:00Z");

    ReviewedPlant() {
        made.add(2, {.vocal = true});
        made.add(8);
    }

    Finding finding(std::int64_t call, CallVerdict verdict) const {
        Finding one;
        one.shift_id = shift;
        one.call_id = call;
        one.verdict = verdict;
        one.by = "A. Reviewer";
        one.utc_ns = kNow;
        return one;
    }

    std::vector<Amendment> amendments() {
        std::vector<Amendment> all;
        made.store().read([&](SQLite::Database& database) { all = read_amendments(database, shift); });
        return all;
    }

    std::vector<Finding> findings() {
        std::vector<Finding> all;
        made.store().read([&](SQLite::Database& database) { all = read_findings(database); });
        return all;
    }
};

} // namespace

TEST_CASE("A finding while the shift is open comes back as it was entered and amends nothing") {
    ReviewedPlant plant;
    Finding finding = plant.finding(1, CallVerdict::kOtherSpecies);
    finding.just_before = JustBefore::kHeldLong;
    finding.note = "a \"bird\", outside";
    const EnteredFindings entered = enter_findings(plant.made.store(), {finding});
    CHECK(entered.ids == std::vector<std::int64_t>{1});
    CHECK_FALSE(entered.amendment);
    REQUIRE(plant.findings().size() == 1);
    const Finding back = plant.findings().front();
    CHECK(back.verdict == CallVerdict::kOtherSpecies);
    CHECK(back.just_before == JustBefore::kHeldLong);
    CHECK(back.note == finding.note);
    CHECK(back.by == "A. Reviewer");
    CHECK(back.utc_ns == kNow);
    CHECK_FALSE(back.withdraws);
    CHECK(plant.amendments().empty());
}

TEST_CASE(
    "After the close each entry of findings gives one amendment, and the shift's record stays as it was") {
    ReviewedPlant plant;
    plant.made.close();
    const std::string record = plant.made.store().read_shift(plant.shift)->shift.record_json;
    const EnteredFindings first = enter_findings(
        plant.made.store(),
        {plant.finding(1, CallVerdict::kNotACall), plant.finding(2, CallVerdict::kCannotTell)});
    CHECK(first.amendment == 1);
    const EnteredFindings second =
        enter_findings(plant.made.store(), {plant.finding(2, CallVerdict::kPerson)});
    CHECK(second.amendment == 2);
    const auto amendments = plant.amendments();
    REQUIRE(amendments.size() == 2);
    const auto one = nlohmann::json::parse(amendments[0].record_json);
    CHECK(one["reviewed"]["vocal"] == 1);
    CHECK(one["cannot_tell"] == 1);
    const auto two = nlohmann::json::parse(amendments[1].record_json);
    CHECK(two["reviewed"]["vocal"] == 0);
    CHECK(two["turned_silent"] == std::vector<int>{1, 2});
    CHECK(plant.made.store().read_shift(plant.shift)->shift.record_json == record);
}

TEST_CASE("Withdrawing a finding amends back, and both rows stay") {
    ReviewedPlant plant;
    plant.made.close();
    enter_findings(plant.made.store(), {plant.finding(1, CallVerdict::kNotACall)});
    const EnteredFindings withdrawn = withdraw_finding(plant.made.store(), 1, "B. Lead", kNow + 1);
    CHECK(withdrawn.amendment == 2);
    CHECK(plant.findings().size() == 2);
    CHECK(plant.findings().back().by == "B. Lead");
    CHECK(nlohmann::json::parse(plant.amendments().back().record_json)["reviewed"]["vocal"] == 2);
    CHECK_THROWS_AS(withdraw_finding(plant.made.store(), 1, "B. Lead", kNow), Failure);
    CHECK_THROWS_AS(withdraw_finding(plant.made.store(), 9, "B. Lead", kNow), Failure);
}

TEST_CASE("A finding on a call that isn't there leaves no row of the others that came with it") {
    ReviewedPlant plant;
    plant.made.close();
    CHECK_THROWS_AS(enter_findings(plant.made.store(), {plant.finding(1, CallVerdict::kCall),
                                                        plant.finding(77, CallVerdict::kCall)}),
                    Failure);
    CHECK(plant.findings().empty());
    CHECK(plant.amendments().empty());
}

TEST_CASE("Findings from before the close are amended by hand, and only then") {
    ReviewedPlant plant;
    enter_findings(plant.made.store(), {plant.finding(1, CallVerdict::kNotACall)});
    CHECK_THROWS_AS(amend_shift(plant.made.store(), plant.shift, "B. Lead", kNow), Failure);
    plant.made.close();
    CHECK(amend_shift(plant.made.store(), plant.shift, "B. Lead", kNow) == 1);
    CHECK(nlohmann::json::parse(plant.amendments().back().record_json)["entered_by"] == "B. Lead");
    CHECK_THROWS_AS(amend_shift(plant.made.store(), plant.shift + 1, "B. Lead", kNow), Failure);
}

TEST_CASE("Findings and amendments can be neither changed nor deleted") {
    ReviewedPlant plant;
    plant.made.close();
    enter_findings(plant.made.store(), {plant.finding(1, CallVerdict::kNotACall)});
    for (const char* sql : {"UPDATE findings SET verdict = 'call'", "DELETE FROM findings",
                            "UPDATE amendments SET record_json = ''", "DELETE FROM amendments"}) {
        INFO(sql);
        CHECK_THROWS_WITH(plant.made.store().change([&](SQLite::Database& database) { database.exec(sql); }),
                          Catch::Contains("evidence"));
    }
}

TEST_CASE("Each finding, and each taken back, is told among the accesses with who judged") {
    ReviewedPlant plant;
    enter_findings(plant.made.store(), {plant.finding(1, CallVerdict::kNotACall)});
    withdraw_finding(plant.made.store(), 1, "B. Lead", kNow + 1);
    std::vector<std::string> rows;
    plant.made.store().read([&](SQLite::Database& database) {
        SQLite::Statement query(database,
                                "SELECT who || ' ' || what || ' ' || subject || ': ' || detail FROM accesses "
                                "ORDER BY seq");
        while (query.executeStep()) rows.push_back(query.getColumn(0).getString());
    });
    REQUIRE(rows.size() == 2);
    CHECK(rows[0] == "A. Reviewer enter finding 1: shift 1, call 1: not_a_call");
    CHECK(rows[1] == "B. Lead withdraw finding 2: shift 1, call 1: not_a_call; finding 1 is taken back");
}
