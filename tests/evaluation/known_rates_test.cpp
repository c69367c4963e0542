#include "daemon/evaluation/known_rates.h"

#include <catch2/catch.hpp>

#include "daemon/evaluation/evaluation_json.h"
#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

evaluation::FigureRow row(const std::string& by, const std::string& group, evaluation::Confusion counts) {
    evaluation::FigureRow out{"passage", by, group, {}};
    out.figures.counts = counts;
    return out;
}

std::string refusal_of(const std::string& text) {
    try {
        read_known_rates(text);
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        return failure.what();
    }
    return "";
}

} // namespace

TEST_CASE("Rates are read back from the JSON of an evaluation, by level where the level has quiet passages") {
    const TestFolder folder;
    Evaluation evaluation;
    evaluation.figures = {row("all", "", {88, 62, 3, 447}), row("snr", "5", {8, 2, 1, 99}),
                          row("snr", "-5", {8, 2, 0, 0})};
    const auto known = read_known_rates(folder.write("evaluation.json", evaluation_json(evaluation)));
    CHECK(known.all.sensitivity.k == 88);
    CHECK(known.all.specificity.n == 450);
    REQUIRE(known.by_level.size() == 1);
    CHECK(known.by_level.at(5).specificity.k == 99);
}

TEST_CASE("Rates may be given as counts") {
    const auto known = read_known_rates("88/150,447/450");
    CHECK(known.all.sensitivity.k == 88);
    CHECK(known.all.sensitivity.n == 150);
    CHECK(known.all.specificity.k == 447);
    CHECK(known.all.specificity.n == 450);
}

TEST_CASE("What are no rates is refused with what to give instead") {
    const TestFolder folder;
    CHECK(refusal_of("151/150,447/450").find("expected counts") != std::string::npos);
    CHECK(refusal_of("0/0,447/450").find("expected counts") != std::string::npos);
    CHECK(refusal_of(folder.path("absent.json")).find("can't be read") != std::string::npos);
    CHECK(refusal_of(folder.write("no.json", "{\"figures\": 3}")).find("isn't an evaluation.json") !=
          std::string::npos);
    CHECK(refusal_of(folder.write("text.json", "hello")).find("isn't an evaluation.json") !=
          std::string::npos);
}
