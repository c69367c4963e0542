#include "daemon/audits/audit_comparison.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

constexpr std::int64_t kStart_ns = 1'772'456'400'000'000'000;
constexpr std::int64_t kSecond_ns = 1'000'000'000;

// Passages 30 s apart, of which the machine heard `vocal` (by place).
SpanRows machine_of(const std::vector<bool>& vocal) {
    SpanRows rows;
    rows.shifts.emplace_back();
    rows.shifts.back().shift_id = 1;
    for (std::size_t i = 0; i < vocal.size(); ++i) {
        SpanPassage passage;
        passage.shift_id = 1;
        passage.passage.id = static_cast<std::int64_t>(i) + 1;
        passage.passage.vocal = vocal[i];
        passage.entered_utc_ns = kStart_ns + static_cast<std::int64_t>(i) * 30 * kSecond_ns;
        rows.passages.push_back(passage);
    }
    return rows;
}

HandAuditRow by_number(std::int64_t passage_id, bool vocal, const std::string& auditor = "anna") {
    HandAuditRow row;
    row.shift_id = 1;
    row.passage_id = passage_id;
    row.vocal = vocal;
    row.auditor = auditor;
    return row;
}

HandAuditRow at_second(double second, bool vocal) {
    HandAuditRow row;
    row.at_utc_ns = kStart_ns + static_cast<std::int64_t>(second * 1e9);
    row.vocal = vocal;
    row.auditor = "anna";
    return row;
}

} // namespace

TEST_CASE("A person's 100 animals against the machine's: the figures of the published table") {
    // 3, 1, 2, 94: kappa .651, PABAK .94 (computed from the definitions, J. Cohen 1960, T. Byrt 1993).
    std::vector<bool> heard(100, false);
    std::vector<HandAuditRow> audit;
    for (std::size_t i = 0; i < 100; ++i) {
        heard[i] = i < 3 || i == 4 || i == 5;
        audit.push_back(by_number(static_cast<std::int64_t>(i) + 1, i < 4));
    }
    const AuditComparison comparison = compare_audit(audit, machine_of(heard), 10.0);
    REQUIRE(comparison.figures.size() == 1);
    const AuditFigures& all = comparison.figures[0];
    CHECK(all.counts.true_positives == 3);
    CHECK(all.counts.false_negatives == 1);
    CHECK(all.counts.false_positives == 2);
    CHECK(all.counts.true_negatives == 94);
    CHECK(*all.counts.kappa() == Approx(.651).margin(.0005));
    CHECK(*all.counts.pabak() == Approx(.94));
    CHECK(*all.positive_agreement == Approx(2.0 * 3 / (4 + 5)));
    CHECK(all.kappa->low < .40);
    CHECK(all.kappa->high > .90);
    CHECK(all.agreement->low == Approx(.915).margin(.001)); // Wilson, 97 of 100
    CHECK(all.pabak->low == Approx(2 * all.agreement->low - 1));
    CHECK(all.sensitivity->low == Approx(.301).margin(.001)); // Wilson, 3 of 4
    CHECK(all.specificity->high < 1.0);
    CHECK(comparison.left_out.empty());
}

TEST_CASE("Passages that the machine did not score are left out with their reason, never taken for quiet") {
    SpanRows machine = machine_of({true, false, false});
    machine.passages[1].passage.excluded = "silent";
    const AuditComparison comparison = compare_audit(
        {by_number(1, true), by_number(2, true), by_number(3, false), by_number(9, true)}, machine, 10.0);
    CHECK(comparison.figures[0].counts.all() == 2);
    CHECK(comparison.left_out == std::map<std::string, std::int64_t>{{"silent", 1}, {"no_passage", 1}});
}

TEST_CASE("Times are matched to the nearest entry, one to one, and the watch's offset is told") {
    const SpanRows machine = machine_of({true, false, true, false});
    const AuditComparison comparison = compare_audit(
        {at_second(2.0, true), at_second(32.0, false), at_second(63.0, true), at_second(75.0, true)}, machine,
        10.0);
    CHECK(comparison.rows[0].passage->passage.id == 1);
    CHECK(comparison.rows[1].passage->passage.id == 2);
    CHECK(comparison.rows[2].passage->passage.id == 3);
    CHECK(comparison.rows[3].left_out == "no_passage");
    CHECK(comparison.figures[0].counts.true_positives == 2);
    CHECK(comparison.figures[0].counts.true_negatives == 1);
    CHECK(*comparison.clock_offset_s == Approx(2.0));
}

TEST_CASE("Two auditors have figures of their own, and the same passage by number and by time counts once") {
    const SpanRows machine = machine_of({true, false, true});
    std::vector<HandAuditRow> audit = {by_number(1, true), by_number(2, true), by_number(1, false, "ben"),
                                       by_number(3, true, "ben")};
    AuditComparison comparison = compare_audit(audit, machine, 10.0);
    REQUIRE(comparison.figures.size() == 3);
    CHECK(comparison.figures[0].counts.all() == 4);
    CHECK(comparison.figures[1].auditor == "anna");
    CHECK(comparison.figures[1].counts.false_positives == 0);
    CHECK(comparison.figures[1].counts.false_negatives == 1);
    CHECK(comparison.figures[2].counts.false_positives == 1);

    audit = {by_number(1, true), at_second(1.0, false)};
    comparison = compare_audit(audit, machine, 10.0);
    CHECK(comparison.figures[0].counts.all() == 1);
    CHECK(comparison.left_out.at("twice") == 1);
}
