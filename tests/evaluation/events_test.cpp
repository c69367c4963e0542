#include "classifiers/evaluation/events.h"

#include <algorithm>
#include <catch2/catch.hpp>

using namespace quietpass::evaluation;

namespace {

TrueCall call(double start_s, double end_s, const std::string& phase = "held", double snr_db = 5.0) {
    return {{start_s, end_s}, "recording", phase, snr_db};
}

FoundCall found(double start_s, double end_s) {
    FoundCall out;
    out.span = {start_s, end_s};
    out.level = 5;
    return out;
}

ShiftEvents judged(std::vector<TrueCall> calls, std::vector<FoundCall> found,
                   std::vector<OtherSound> others) {
    ShiftEvents events{std::move(calls), std::move(found), std::move(others)};
    judge_events(events);
    return events;
}

} // namespace

TEST_CASE("A call found in two pieces is one call heard and nothing false") {
    const auto events = judged({call(10, 12)}, {found(9.9, 10.5), found(11, 12.2)}, {});
    const auto rows = event_figures({events});
    CHECK(rows.at(0).figures.counts.true_positives == 1);
    CHECK(rows.at(0).figures.counts.false_positives == 0);
}

TEST_CASE("One found stretch over two calls hears both") {
    const auto events = judged({call(10, 11), call(11.5, 12)}, {found(10, 12)}, {});
    CHECK(event_figures({events}).at(0).figures.counts.true_positives == 2);
}

TEST_CASE("A false call is laid to the sound that it lies on most, and a call heard to none") {
    const auto events = judged({call(10, 12)}, {found(10, 12), found(20, 21), found(30, 31)},
                               {{{10, 12}, "bang"}, {{19, 20.2}, "horn"}, {{20.2, 22}, "speech"}});
    CHECK(events.found[1].behind == "speech");
    CHECK(events.found[2].behind.empty());
    const auto rows = confounders_of({events});
    const auto row = [&](const std::string& kind) {
        return *std::find_if(rows.begin(), rows.end(), [&](const auto& r) { return r.kind == kind; });
    };
    CHECK(row("speech").false_calls == 1);
    CHECK(row("speech").called.k == 1);
    CHECK(row("bang").called.k == 0);
    CHECK(row("bang").called.n == 1);
    CHECK(row("").false_calls == 1);
    CHECK(row("").called.n == 0);
}

TEST_CASE("Calls are told apart by level and by phase") {
    const auto events = judged({call(1, 2, "entry", 15), call(3, 4, "held", 5), call(5, 6, "waiting", -3)},
                               {found(1, 2)}, {});
    const auto rows = event_figures({events});
    std::vector<std::string> groups;
    for (const auto& row : rows) groups.push_back(row.by + " " + row.group);
    CHECK(groups == std::vector<std::string>{"all ", "snr 15", "snr 5", "snr -5", "phase entry", "phase held",
                                             "phase waiting"});
    CHECK(rows[1].figures.counts.true_positives == 1);
    CHECK(rows[2].figures.counts.false_negatives == 1);
}

TEST_CASE("Quiet passages made vocal are laid to what was taken for a call, each once") {
    auto of_passage = [](FoundCall call, const std::string& passage) {
        call.quiet_passage = passage;
        return call;
    };
    const auto events =
        judged({call(40, 42, "waiting")},
               {of_passage(found(10, 11), "1"), of_passage(found(10.2, 11), "1"),
                of_passage(found(20, 21), "2"), of_passage(found(40, 41), "3"), found(50, 51)},
               {{{10, 12}, "horn"}, {{20, 21}, "bang"}, {{50, 51}, "horn"}});
    const auto rows = confounders_of({events});
    std::vector<std::string> told;
    for (const auto& row : rows)
        told.push_back(row.kind + " " + std::to_string(row.quiet_passages) + " " +
                       std::to_string(row.false_calls));
    CHECK(told == std::vector<std::string>{"horn 1 3", "bang 1 1", "call, waiting 1 0"});
}
