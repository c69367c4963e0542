#include <SQLiteCpp/Column.h>
#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "classifiers/evaluation/wilson.h"
#include "daemon/failure.h"
#include "daemon/records/shift_json.h"
#include "daemon/records/utc_text.h"
#include "daemon/reports/gather_report.h"
#include "daemon/reports/pooled_figures.h"
#include "daemon/reports/recorded_shift.h"
#include "tests/reports/made_plant.h"
#include "tests/test_folder.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

struct Fixture {
    TestFolder folder;
    MadePlant plant;

    explicit Fixture(StationSettings settings = cattle_box(), std::uint32_t seed = 1)
        : plant(folder / "records.db", std::move(settings), seed) {}

    ReportFigures of(const ReportSpan& span) {
        return gather_report(read_report_rows(plant.store(), span), span);
    }
    ReportFigures of_shift(std::int64_t shift_id) { return of({SpanKind::kShift, "", shift_id, {}, {}}); }
    ReportFigures of_month(const std::string& month) {
        return of(month_span(month, LocalTime(plant.settings.timezone)));
    }
};

std::int64_t moment(const std::string& text) {
    return utc_from_text(text).value();
}

// As the store has it.
nlohmann::json record_of(Store& store, std::int64_t shift_id) {
    return nlohmann::json::parse(store.read_shift(shift_id)->shift.record_json);
}

MadeShift small(const std::string& start, int animals = 120) {
    MadeShift shift;
    shift.start = start;
    shift.animals = animals;
    shift.vocal = 0.1;
    return shift;
}

} // namespace

TEST_CASE("A shift's report has the record's figures, as the record has them") {
    Fixture made;
    const std::int64_t id = made.plant.add(small("2026-03-02T13:00:00Z", 400));
    const nlohmann::json record = record_of(made.plant.store(), id);
    const PeriodFigures all = made.of_shift(id).all;
    CHECK(all.vocal.k == record["vocal"]);
    CHECK(all.vocal.n == record["scored"]);
    CHECK(all.vocal.percent == record["percent"].get<double>());
    CHECK(all.vocal.percent_low == record["percent_low"].get<double>());
    CHECK(all.vocal.percent_high == record["percent_high"].get<double>());
    CHECK(name_of(all.verdict) == record["verdict"]);
    CHECK(all.interval_contains_limit == record["interval_contains_limit"].get<bool>());
    CHECK(all.phases[2].vocal.k == record["by_phase"]["held"]["vocal_passages"]);
    CHECK(all.stunned_once->k == record["stunned_once"]["once"]);
    CHECK(all.times[0].n == record["held_for_s"]["n"]);
    CHECK(std::abs(*all.times[0].median - record["held_for_s"]["median"].get<double>()) <= 0.05);
    CHECK(*all.passages_covered_percent ==
          Approx(100.0 * record["coverage"]["passages"].get<double>()).margin(0.001));
    std::map<std::string, std::int64_t> excluded = record["excluded"];
    CHECK(all.excluded == excluded);
}

TEST_CASE("The pool of a month adds up counts and takes the times of all its animals") {
    Fixture made;
    made.plant.add(small("2026-02-27T13:00:00Z")); // the month before
    const std::int64_t first = made.plant.add(small("2026-03-02T13:00:00Z", 120));
    MadeShift second = small("2026-03-03T13:00:00Z", 80);
    second.held_long = 0.6;
    const std::int64_t last = made.plant.add(second);
    made.plant.add(small("2026-04-01T13:00:00Z")); // the month after
    const ReportFigures figures = made.of_month("2026-03");
    REQUIRE(figures.shifts.size() == 2);
    const nlohmann::json a = record_of(made.plant.store(), first);
    const nlohmann::json b = record_of(made.plant.store(), last);
    const std::int64_t vocal = a["vocal"].get<std::int64_t>() + b["vocal"].get<std::int64_t>();
    const std::int64_t scored = a["scored"].get<std::int64_t>() + b["scored"].get<std::int64_t>();
    CHECK(figures.all.vocal.k == vocal);
    CHECK(figures.all.vocal.n == scored);
    CHECK(*figures.all.vocal.percent_low ==
          Approx(100.0 * wilson_interval(vocal, scored)->low).margin(0.005));
    CHECK(figures.all.passages == 200);
    CHECK(figures.all.times[0].n == 200);
    CHECK(*figures.all.times[0].max ==
          rounded(std::max(a["held_for_s"]["max"].get<double>(), b["held_for_s"]["max"].get<double>()), 1));
    // The median of all is none of the medians' means.
    std::vector<double> held;
    for (const std::int64_t id : {first, last}) {
        const ShiftRows rows = made.plant.store().read_shift(id).value();
        for (const Passage& passage : rows.passages) {
            held.push_back(passage.held_for_s());
        }
    }
    std::sort(held.begin(), held.end());
    CHECK(*figures.all.times[0].median == rounded((held[99] + held[100]) / 2.0, 1));
    REQUIRE(figures.by_groups);
    CHECK_FALSE(figures.by_groups->lots);
    CHECK(figures.by_groups->groups == 2);
    CHECK(figures.by_groups->percent_low <= *figures.all.vocal.percent_low);
}

TEST_CASE("Nights between the shifts are neither counted nor weighed; an animal in one counts") {
    Fixture made;
    MadeShift night = small("2026-03-02T21:00:00Z", 0);
    night.name = "outside";
    night.stop_s = 28800.0;
    const std::int64_t first = made.plant.add(small("2026-03-02T13:00:00Z", 120));
    made.plant.add(night);
    CHECK(latest_closed_shift(made.plant.store()) == first);
    made.plant.add(small("2026-03-03T13:00:00Z", 80));
    ReportFigures figures = made.of_month("2026-03");
    CHECK(figures.shifts.size() == 2);
    CHECK(figures.chart.points.size() == 2);
    const double stopped_s = figures.all.stopped_s;

    MadeShift late = small("2026-03-03T21:00:00Z", 3);
    late.name = "outside";
    late.stop_s = 28800.0;
    const std::int64_t last = made.plant.add(late);
    CHECK(latest_closed_shift(made.plant.store()) == last);
    figures = made.of_month("2026-03");
    CHECK(figures.shifts.size() == 3);
    CHECK(figures.all.passages == 203);
    CHECK(figures.all.stopped_s == stopped_s);

    PeriodFigures shift;
    shift.running_s = 8.0 * 3600.0;
    shift.line_rate_per_hour = 40.0;
    shift.time_heard_percent = 50.0;
    PeriodFigures between = shift;
    between.between_shifts = true;
    between.line_rate_per_hour = 0.4;
    between.time_heard_percent = 100.0;
    const PeriodFigures pool = pooled_figures({shift, between}, {});
    CHECK(pool.running_s == 8.0 * 3600.0);
    CHECK(pool.line_rate_per_hour == 40.0);
    CHECK(pool.time_heard_percent == 50.0);
    CHECK(pooled_figures({between}, {}).line_rate_per_hour == 0.4);
}

TEST_CASE("A pool over an altered limit has no limit and no verdict") {
    PeriodFigures before;
    before.vocal = counted_share(4, 100);
    before.limit_percent = 5.0;
    before.basis = "one edition";
    PeriodFigures after = before;
    CHECK(pooled_figures({before, after}, {}).verdict == Verdict::kWithinLimit);
    after.limit_percent = 3.0;
    const PeriodFigures pool = pooled_figures({before, after}, {});
    CHECK_FALSE(pool.limit_percent);
    CHECK(pool.verdict == Verdict::kNotScored);
    CHECK(pool.vocal.k == 8);
}

TEST_CASE("At the limit is within it, just over it is over, whatever the rounded percentage says") {
    PeriodFigures figures;
    figures.limit_percent = 5.0;
    figures.vocal = counted_share(5, 100);
    judge(figures);
    CHECK(figures.verdict == Verdict::kWithinLimit);
    CHECK(figures.interval_contains_limit == true);
    figures.vocal = counted_share(5001, 100000); // 5.00 % when rounded
    judge(figures);
    CHECK(figures.verdict == Verdict::kOverLimit);
    figures.vocal = {};
    judge(figures);
    CHECK(figures.verdict == Verdict::kNotScored);
    CHECK_FALSE(figures.interval_contains_limit);
}

TEST_CASE("Lots that differ make the interval of a shift wider, where each animal has its lot") {
    Fixture made;
    MadeShift shift = small("2026-03-02T13:00:00Z", 200);
    made.plant.lots("2026-03-02T12:00:00Z", 4, 3600.0);
    const std::int64_t id = made.plant.add(shift);
    const ReportFigures figures = made.of_shift(id);
    REQUIRE(figures.by_groups);
    CHECK(figures.by_groups->lots);
    // The record's own word of what is sure stays.
    CHECK(figures.all.interval_contains_limit ==
          record_of(made.plant.store(), id)["interval_contains_limit"].get<bool>());
}

TEST_CASE("Alarms of a shift are those that stood in it, with who did what after how long") {
    Fixture made;
    const std::int64_t id = made.plant.add(small("2026-03-02T13:00:00Z"));
    made.plant.alarm("hold_too_long", "", "2026-03-02T11:00:00Z", 1, 60.0, "R. Oduya", 600.0); // before
    made.plant.alarm("disk_low", "", "2026-03-02T12:30:00Z", 1, 3600.0, "L. Marsh", 0.0);      // into it
    made.plant.alarm("call_after_stun", "head", "2026-03-02T13:10:00Z", 3, 90.0, "R. Oduya", 600.0);
    made.plant.alarm("second_stun", "", "2026-03-03T13:00:00Z", 1, 0.0, "", 0.0); // after
    const ReportFigures figures = made.of_shift(id);
    REQUIRE(figures.alarms.size() == 2);
    CHECK(figures.alarms[0].cause == "disk_low");
    CHECK(figures.alarms[1].cause == "call_after_stun");
    CHECK(figures.alarms[1].count == 3);
    CHECK(figures.alarms[1].acknowledged_by == "R. Oduya");
    CHECK(*figures.alarms[1].acknowledged_utc_ns == moment("2026-03-02T13:11:30Z"));
    CHECK(*figures.alarms[1].cleared_utc_ns == moment("2026-03-02T13:20:00Z"));
    CHECK(figures.shifts.front().alarms == 2);
}

TEST_CASE("Changes are marked in the chart, withdrawn ones and later ones not") {
    Fixture made;
    for (int day = 1; day <= 10; ++day) {
        made.plant.add(
            small("2026-03-" + std::string(day < 10 ? "0" : "") + std::to_string(day) + "T13:00:00Z"));
    }
    made.plant.change("2026-01-01T00:00:00Z", "floor", "before the chart", "");
    made.plant.change("2026-03-04T20:00:00Z", "light", "new lamp", "R. Oduya");
    made.plant.change("2026-03-08T20:00:00Z", "floor", "withdrawn", "");
    JournalEntry withdrawal;
    withdrawal.kind = EntryKind::kWithdrawn;
    withdrawal.withdraws = 3;
    made.plant.store().add(withdrawal);
    made.plant.change("2026-03-10T13:05:00Z", "", "in the shift", "");
    made.plant.change("2026-03-12T00:00:00Z", "", "after the shift", "");
    const ReportFigures figures = made.of_shift(10);
    REQUIRE(figures.changes.size() == 2);
    CHECK(figures.changes[0].letter == "A");
    CHECK(figures.changes[0].text == "new lamp");
    CHECK_FALSE(figures.changes[0].reported);
    CHECK(figures.changes[1].letter == "B");
    CHECK(figures.changes[1].reported);
    REQUIRE(figures.chart.points.size() == 10);
    CHECK(figures.chart.points.back().reported);
    CHECK(figures.chart.mean_percent);
    CHECK(figures.chart.points.front().high_percent);
}

TEST_CASE("The chart has the latest thirty shifts, limits from eight on, and none that was not scored") {
    Fixture made;
    for (int i = 0; i < 7; ++i)
        made.plant.add(small(utc_text(moment("2026-03-01T13:00:00Z") + i * 86400000000000)));
    CHECK_FALSE(made.of_shift(7).chart.mean_percent);
    for (int i = 7; i < 34; ++i)
        made.plant.add(small(utc_text(moment("2026-03-01T13:00:00Z") + i * 86400000000000)));
    MadeShift deaf = small("2026-05-01T13:00:00Z");
    deaf.not_heard = 1.0;
    made.plant.add(deaf);
    const ReportChart chart = made.of_shift(34).chart;
    CHECK(chart.points.size() == 30);
    CHECK(chart.points.front().shift_id == 5);
    CHECK(made.of_shift(35).chart.points.size() == 29);
}

TEST_CASE("What goes with the calls comes with its counts, and says how many rows were looked at") {
    Fixture made;
    MadeShift shift = small("2026-03-02T13:00:00Z", 600);
    shift.vocal = 0.01;
    shift.held_long = 0.3;
    shift.vocal_when_long = 0.5;
    const ReportFigures figures = made.of_shift(made.plant.add(shift));
    REQUIRE_FALSE(figures.goes_with_calls.empty());
    CHECK(figures.goes_with_calls.front().factor == "hold_time");
    CHECK(figures.goes_with_calls.front().level == "20 to 40 s");
    CHECK(figures.goes_with_calls.front().ratio.low > 1.0);
    CHECK(figures.goes_with_calls.front().group.n + figures.goes_with_calls.front().rest_n ==
          figures.all.vocal.n);
    CHECK(figures.factors_looked_at > static_cast<std::int64_t>(figures.goes_with_calls.size()));
}

TEST_CASE("Hand audits of these animals are compared, others and withdrawn ones left alone") {
    Fixture made;
    const std::int64_t first = made.plant.add(small("2026-03-02T13:00:00Z"));
    const std::int64_t second = made.plant.add(small("2026-03-03T13:00:00Z"));
    made.plant.hand_audit(first, "L. Marsh", 50, 0);
    made.plant.hand_audit(second, "R. Oduya", 100, 5);
    const ReportFigures figures = made.of_shift(first);
    REQUIRE(figures.audit);
    CHECK(figures.audit->auditors == std::vector<std::string>{"L. Marsh"});
    CHECK(figures.audit->agreement.k == figures.audit->agreement.n);
    CHECK(figures.audit->agreement.n + figures.audit->not_compared == 50);
    HandAudit withdrawal;
    withdrawal.file = "audit.csv";
    withdrawal.sha256 = std::string(64, 'a');
    withdrawal.withdraws = 1;
    made.plant.store().add(withdrawal);
    CHECK_FALSE(made.of_shift(first).audit);
    CHECK(made.of_month("2026-03").audit->auditors == std::vector<std::string>{"R. Oduya"});
}

TEST_CASE("A signed shift has its code, of the record's number and hash in the ledger") {
    Fixture made;
    CHECK_FALSE(made.of_shift(made.plant.add(small("2026-03-01T13:00:00Z"))).signature);
    made.plant.sign();
    const std::int64_t id = made.plant.add(small("2026-03-02T13:00:00Z"));
    const ReportFigures figures = made.of_shift(id);
    REQUIRE(figures.signature);
    std::string expected;
    made.plant.store().read([&](SQLite::Database& database) {
        SQLite::Statement row(
            database,
            "SELECT 'QUIETPASS1 ' || ledger.seq || ' ' || lower(hex(ledger.hash)) || ' ' || "
            "heads.utc_ns || ' ' || key_id || ' ' || signature FROM ledger JOIN heads ON "
            "heads.of_seq = ledger.seq WHERE ledger.kind = 'shift_records'");
        REQUIRE(row.executeStep());
        expected = row.getColumn(0).getString();
    });
    CHECK(code_of(*figures.signature) == expected);
    CHECK(figures.signed_shift_id == id);
    // Of a month, the last signed one's.
    made.plant.store().sign_with(nullptr);
    made.plant.add(small("2026-03-03T13:00:00Z"));
    const ReportFigures month = made.of_month("2026-03");
    CHECK(code_of(month.signature.value()) == expected);
    CHECK(month.signed_shift_id == id);
}

TEST_CASE("A shift that goes on is in a month's table and in none of its figures") {
    Fixture made;
    made.plant.add(small("2026-03-02T13:00:00Z"));
    const std::int64_t open = made.plant.open("2026-03-03T13:00:00Z");
    const ReportFigures figures = made.of_month("2026-03");
    REQUIRE(figures.shifts.size() == 2);
    CHECK_FALSE(figures.shifts.back().closed);
    CHECK(figures.all.passages == 120);
    CHECK_THROWS_WITH(made.of_shift(open), Catch::Contains("not closed yet"));
}

TEST_CASE("A time without a shift and one with two stations are refused in one line") {
    Fixture made;
    made.plant.add(small("2026-03-02T13:00:00Z"));
    CHECK_THROWS_WITH(made.of_month("2026-05"), Catch::Contains("no shift of the store starts in this time"));
    CHECK_THROWS_WITH(made.of_shift(99), Catch::Contains("no such shift"));
    made.plant.settings.name = "box-3";
    const std::int64_t other = made.plant.add(small("2026-03-03T13:00:00Z"));
    CHECK_THROWS_WITH(made.of_month("2026-03"), Catch::Contains("box-2, box-3"));
    CHECK(made.of_shift(other).chart.points.size() == 1);
}

TEST_CASE("Records of older programs are read without the keys that they lack") {
    ShiftRecord record;
    record.scored = 100;
    record.vocal = 3;
    record.percent = 3.0;
    nlohmann::json old = nlohmann::json::parse(shift_json(record));
    for (const char* key : {"stunned_once", "holder_bangs", "whose_call", "body_held_for_s", "coverage",
                            "calls_at_stun", "versions"}) {
        old.erase(key);
    }
    const RecordedShift read = recorded_shift(1, old.dump());
    CHECK(read.figures.vocal.n == 100);
    CHECK_FALSE(read.figures.has_cut);
    CHECK_FALSE(read.figures.stunned_once);
    CHECK_FALSE(read.figures.holder_bangs);
    CHECK_FALSE(read.figures.passages_covered_percent);
    CHECK_THROWS_AS(recorded_shift(1, "{"), Failure);
    CHECK_THROWS_WITH(recorded_shift(7, "{}"), Catch::Contains("the record of shift 7 can't be read"));
}

TEST_CASE("An amendment's reviewed share stands beside the machine's") {
    const ReportAmendment amendment = recorded_amendment(
        1, R"({"amendment": 2, "reviewed": {"scored": 100, "vocal": 2, "percent": 2.0, "percent_low": 0.55,
               "percent_high": 7.0}})");
    CHECK(amendment.number == 2);
    CHECK(amendment.reviewed.k == 2);
    CHECK(amendment.reviewed.percent_high == 7.0);
    CHECK_THROWS_AS(recorded_amendment(1, "[]"), Failure);
}
