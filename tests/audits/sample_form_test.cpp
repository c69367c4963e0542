#include "daemon/audits/sample_form.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

std::vector<PassageFacts> passages(const std::string& letters) {
    std::vector<PassageFacts> all; // v vocal, s silent, x not scored
    for (const char letter : letters) {
        PassageFacts passage;
        passage.row.passage.id = static_cast<std::int64_t>(all.size()) + 1;
        passage.row.passage.vocal = letter == 'v';
        passage.vocal_in[0] = letter == 'v';
        if (letter == 'x') passage.row.passage.excluded = "overrun";
        all.push_back(passage);
    }
    return all;
}

} // namespace

TEST_CASE("A sample is so many scored passages in a row, and those passed over are counted") {
    const auto latest = latest_sample(passages("vssxsxxvs"), 5, 20.0);
    REQUIRE(latest);
    CHECK(latest->first.row.passage.id == 2);
    CHECK(latest->last.row.passage.id == 9);
    CHECK(latest->vocal.k == 1);
    CHECK(latest->vocal.n == 5);
    CHECK(latest->vocal_in[0] == 1);
    CHECK(latest->passed_over == 3);
    CHECK(latest->within_limit()); // at the limit
    CHECK(latest->limit_in_interval());
    CHECK_FALSE(latest_sample(passages("vsx"), 3, 20.0));
}

TEST_CASE("All samples follow each other and a rest is none") {
    const auto forms = samples_of(passages("vvsssxssss"), 4, 20.0);
    REQUIRE(forms.size() == 2);
    CHECK(forms[0].vocal.k == 2);
    CHECK_FALSE(forms[0].within_limit());
    CHECK(forms[1].first.row.passage.id == 5);
    CHECK(forms[1].last.row.passage.id == 9);
    CHECK(forms[1].passed_over == 1);
}

TEST_CASE("The most vocal animals within a limit are counted without rounding errors") {
    SampleForm form;
    form.vocal.n = 100;
    form.limit_percent = 0.7 / 0.1; // 6.999…
    CHECK(form.most_vocal() == 7);
    form.limit_percent = 3.0;
    form.vocal.n = 50;
    CHECK(form.most_vocal() == 1);
}

TEST_CASE("A sequential audit ends where Wald's lines say") {
    const statistics::Sprt test(.01, .10, .05, .10); // accepts after 24 silent animals
    const SequentialEnd accepted = audited_in_sequence(passages("x" + std::string(40, 's')), test);
    CHECK(accepted.answer == statistics::SequentialAnswer::kLow);
    CHECK(accepted.seen.n == 24);
    const SequentialEnd rejected = audited_in_sequence(passages("ssvsv" + std::string(40, 's')), test);
    CHECK(rejected.answer == statistics::SequentialAnswer::kHigh);
    CHECK(rejected.seen.n == 5);
    const SequentialEnd open = audited_in_sequence(passages("ssssv"), test);
    CHECK(open.answer == statistics::SequentialAnswer::kGoOn);
    CHECK(open.seen.n == 5);
}
