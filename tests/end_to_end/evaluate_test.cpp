// `quietpass evaluate` on a shift that the build made and on the recordings of testdata/. What the figures
// are is no matter here; that they add up, are written as FORMATS.md says and come out the same again is.

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sstream>

#include "tests/end_to_end/program.h"

using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

// The scored short shift, made once for all tests here.
const std::filesystem::path& scored_shift() {
    static const TestFolder folder;
    static const std::filesystem::path shift = [] {
        const std::filesystem::path made = made_shift("short");
        for (const char* name : {"truth.csv", "truth_calls.csv", "truth_sounds.csv"})
            std::filesystem::copy(made / name, folder.path() / name);
        // Nothing disturbs the short shift: a bang before the first animal gives its table a row.
        write_text(folder.path() / "truth_sounds.csv",
                   text_of(folder.path() / "truth_sounds.csv") + "0.500,0.700,bang,,,6.00\n");
        const Outcome scored = run_program(
            {quietpass_program(), "score", "--station", (testdata() / "demo" / "station.toml").string(),
             "--audio", (made / "audio.wav").string(), "--contacts", (made / "contacts.csv").string(),
             "--out", folder.path("scored")});
        INFO(scored.err);
        REQUIRE(scored.exit_code == 0);
        return folder.path();
    }();
    return shift;
}

Outcome evaluate(std::vector<std::string> options) {
    options.insert(options.begin(), {quietpass_program(), "evaluate"});
    return run_program(options);
}

std::vector<std::string> clip_options(const std::string& species) {
    return {"--clips",    (testdata() / "recordings").string(),
            "--manifest", (testdata() / "MANIFEST.tsv").string(),
            "--labels",   (testdata() / "labels" / "calls.tsv").string(),
            "--species",  species};
}

Json figure(const Json& evaluation, const std::string& unit) {
    for (const Json& row : evaluation.at("figures")) {
        if (row.at("unit") == unit && row.at("by") == "all") return row;
    }
    FAIL("no row for " + unit);
    return {};
}

// Columns of a terminal, not bytes.
std::size_t columns(const std::string& line) {
    return static_cast<std::size_t>(
        std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

} // namespace

TEST_CASE("A shift's figures count every passage of the truth once, and the table fits 80 columns") {
    const TestFolder out;
    const Outcome outcome =
        evaluate({"--shift", scored_shift().string(), "--rates", "45/50,99/100", "--out", out.path("e")});
    INFO(outcome.err);
    REQUIRE(outcome.exit_code == 0);
    for (const std::string& line : lines_of(outcome.out)) CHECK(columns(line) <= 80);

    const Json evaluation = Json::parse(out.text("e/evaluation.json"));
    const auto truth = lines_of(text_of(scored_shift() / "truth.csv"));
    const Json row = figure(evaluation, "passage");
    CHECK(row.at("sensitivity").at("n").get<std::size_t>() +
              row.at("specificity").at("n").get<std::size_t>() ==
          truth.size() - 1);
    CHECK(evaluation.at("passages").at("judged") == truth.size() - 1);
    CHECK(evaluation.at("shares").size() == 1);
    CHECK(evaluation.at("shares")[0].at("corrected_interval").is_array());
}

TEST_CASE("The scored folder itself may be named, and the same input gives the same bytes") {
    const TestFolder out;
    const auto options = [&](const std::string& name) {
        return std::vector<std::string>{"--shift", (scored_shift() / "scored").string(), "--out",
                                        out.path(name)};
    };
    REQUIRE(evaluate(options("one")).exit_code == 0);
    REQUIRE(evaluate(options("two")).exit_code == 0);
    for (const auto& entry : std::filesystem::directory_iterator(out.path("one"))) {
        const std::string name = entry.path().filename().string();
        CHECK(text_of(entry.path()) == text_of(out / "two" / name));
    }
    CHECK_FALSE(out.text("one/figures.csv").empty());
}

TEST_CASE("Clips are judged the same on one thread and on four, and each recording by its fold's profile") {
    const TestFolder out;
    auto words = clip_options("cattle");
    words.insert(words.end(), {"--out", out.path("one"), "--jobs", "1"});
    REQUIRE(evaluate(words).exit_code == 0);
    words[words.size() - 3] = out.path("four");
    words.back() = "4";
    REQUIRE(evaluate(words).exit_code == 0);
    CHECK(out.text("one/evaluation.json") == out.text("four/evaluation.json"));
    CHECK(out.text("one/judged_clips.csv") == out.text("four/judged_clips.csv"));

    // A profile that calls nothing judges fold 1: what is called lies in fold 0, as with the shipped profile.
    std::string deaf = text_of(std::filesystem::path(SHIPPED_PROFILES) / "cattle.toml");
    int cards = 0;
    for (std::size_t cut = deaf.find("\ncut = "); cut != std::string::npos;
         cut = deaf.find("\ncut = ", cut + 1)) {
        deaf.replace(cut, deaf.find('\n', cut + 1) - cut, "\ncut = 1000.0");
        ++cards;
    }
    REQUIRE(cards > 0);
    const std::string shipped = (std::filesystem::path(SHIPPED_PROFILES) / "cattle.toml").string();
    words[words.size() - 3] = out.path("folds");
    words.insert(words.end(), {"--profile-of-fold", shipped + "," + out.write("deaf.toml", deaf)});
    REQUIRE(evaluate(words).exit_code == 0);
    const Json folds = Json::parse(out.text("folds/evaluation.json"));
    const auto by_fold = [&](int fold) {
        for (const Json& row : folds.at("figures")) {
            if (row.at("by") == "fold" && row.at("group") == std::to_string(fold))
                return row.at("sensitivity").at("k").get<int>();
        }
        return -1;
    };
    CHECK(by_fold(0) > 0);
    CHECK(by_fold(1) == 0);
}

TEST_CASE("Grunts of pigs are no calls: their clips are among those that must not be called") {
    const TestFolder out;
    auto words = clip_options("pig");
    words.insert(words.end(), {"--out", out.path("e")});
    const Outcome outcome = evaluate(words);
    INFO(outcome.err);
    REQUIRE(outcome.exit_code == 0);
    const Json evaluation = Json::parse(out.text("e/evaluation.json"));
    std::size_t classes_of_calls = 0;
    bool grunts = false;
    for (const Json& row : evaluation.at("classes")) {
        if (row.at("is_call").get<bool>()) {
            ++classes_of_calls;
            CHECK(row.at("class") == "pig_squeal");
        }
        grunts = grunts || row.at("class") == "pig_grunt";
        CHECK(row.at("class") != "pig_other");
    }
    CHECK(classes_of_calls == 1);
    CHECK(grunts);
    CHECK(evaluation.at("clips_set_apart").get<int>() > 0);
}

TEST_CASE("Every column of every file of an evaluation is described") {
    const TestFolder out;
    auto words = clip_options("cattle");
    words.insert(words.end(), {"--shift", scored_shift().string(), "--out", out.path("e")});
    REQUIRE(evaluate(words).exit_code == 0);
    const std::string formats = text_of(EVALUATION_FORMATS);
    for (const char* name :
         {"figures", "shares", "confounders", "classes", "judged_passages", "judged_clips"}) {
        const std::string file = std::string(name) + ".csv";
        CHECK(formats.find(file) != std::string::npos);
        const auto lines = lines_of(out.text("e/" + file));
        REQUIRE(lines.size() > 1);
        std::istringstream header(lines.front());
        for (std::string column; std::getline(header, column, ',');) {
            const std::size_t ending = std::min(column.rfind("_low"), column.rfind("_high"));
            if (ending != std::string::npos) column.erase(ending);
            INFO(file << ": " << column);
            CHECK(formats.find("`" + column) != std::string::npos);
        }
    }
}

TEST_CASE("Bad wishes are one line on standard error and exit 2") {
    const TestFolder out;
    const std::vector<std::pair<std::vector<std::string>, std::string>> wishes = {
        {{}, "name scored shifts"},
        {{"--clips", testdata().string()}, "needs --species"},
        {{"--clips", testdata().string(), "--species", "sheep"}, "expected cattle or pig"},
        {{"--clips", testdata().string(), "--species", "pig", "--profile-of-fold", "a.toml"},
         "one profile a fold"},
        {{"--shift", scored_shift().string(), "--shift", scored_shift().string()}, "named twice"},
        {{"--shift", "a", "--shift", "b", "--truth", "t.csv"}, "exactly one --shift"},
        {{"--shift", scored_shift().string(), "--rates", "most"}, "can't be read"}};
    for (const auto& [words, expected] : wishes) {
        const Outcome outcome = evaluate(words);
        INFO(outcome.err);
        CHECK(outcome.exit_code == 2);
        CHECK(lines_of(outcome.err).size() == 1);
        CHECK(outcome.err.find(expected) != std::string::npos);
    }
    const Outcome nowhere = evaluate({"--shift", out.path("nowhere")});
    CHECK(nowhere.exit_code == 1);
    CHECK(nowhere.err.find("no passages.csv") != std::string::npos);
}
