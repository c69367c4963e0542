#include "classifiers/evaluation/passage_figures.h"

#include <catch2/catch.hpp>

using namespace quietpass::evaluation;

namespace {

JudgedPassage passage(const std::string& shift, bool vocal, bool called, std::optional<double> snr_db = {}) {
    JudgedPassage out;
    out.shift = shift;
    out.vocal = vocal;
    out.called = called;
    out.snr_db = snr_db;
    return out;
}

const FigureRow* row_of(const std::vector<FigureRow>& rows, const std::string& group) {
    for (const FigureRow& row : rows) {
        if (row.by == "snr" && row.group == group) return &row;
    }
    return nullptr;
}

} // namespace

TEST_CASE("Passages that were not covered, or that truth or record lack, are in no figure") {
    std::vector<JudgedPassage> passages = {passage("a", true, true, 5.0), passage("a", false, false)};
    for (const Standing standing : {Standing::kNotCovered, Standing::kNoTruth, Standing::kNotInRecord}) {
        passages.push_back(passage("a", true, false, 5.0));
        passages.back().standing = standing;
    }
    const auto rows = passage_figures(passages);
    CHECK(rows.at(0).figures.counts.all() == 2);
    CHECK(row_of(rows, "5")->figures.counts.all() == 2);
}

TEST_CASE("Quiet passages stand beside the level of their shift; loud levels come first") {
    const auto rows = passage_figures(std::vector<JudgedPassage>{
        passage("loud", true, true, 15.0), passage("loud", false, false), passage("faint", true, false, -0.4),
        passage("faint", false, true), passage("faint", false, false)});
    REQUIRE(rows.size() == 3);
    CHECK(rows[1].group == "15");
    CHECK(rows[2].group == "0");
    CHECK(rows[1].figures.counts.negatives() == 1);
    CHECK(rows[2].figures.counts.false_positives == 1);
    CHECK(rows[2].figures.counts.negatives() == 2);
}

TEST_CASE("In a shift of mixed levels quiet passages belong to none of them") {
    const auto rows = passage_figures(std::vector<JudgedPassage>{passage("mixed", true, true, 15.0),
                                                                 passage("mixed", true, true, 5.0),
                                                                 passage("mixed", false, true)});
    CHECK(row_of(rows, "15")->figures.counts.negatives() == 0);
    CHECK(row_of(rows, "5")->figures.counts.negatives() == 0);
    CHECK(rows.at(0).figures.counts.false_positives == 1);
}
