#include <sndfile.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

#include "daemon/failure.h"
#include "tests/scenario/csv_rows.h"
#include "tests/scenario/recording_shelf.h"
#include "tests/scenario/scenario_file.h"
#include "tests/test_folder.h"

namespace quietpass::scenario {

namespace {

std::string text_of(const std::string& path) {
    std::ifstream in(path);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
}

std::vector<CsvRow> manifest_rows() {
    return csv_rows(text_of(QUIETPASS_TESTDATA "/MANIFEST.tsv"), '\t');
}

RecordingShelf shelf_with(const std::string& recordings_keys) {
    Scenario scenario = parse_scenario("[recordings]\n" + recordings_keys, "s.toml");
    scenario.recordings_folder = QUIETPASS_TESTDATA "/recordings";
    return RecordingShelf(scenario);
}

void write_wav(const std::string& path, const std::vector<float>& samples, int rate) {
    SF_INFO info{};
    info.channels = 1;
    info.samplerate = rate;
    info.format = SF_FORMAT_WAV | SF_FORMAT_FLOAT;
    SNDFILE* file = sf_open(path.c_str(), SFM_WRITE, &info);
    REQUIRE(file != nullptr);
    sf_writef_float(file, samples.data(), static_cast<sf_count_t>(samples.size()));
    sf_close(file);
}

} // namespace

TEST_CASE("every shipped recording is CC0 or public domain, is listed with its licence and can be read") {
    const std::string licences = text_of(QUIETPASS_TESTDATA "/LICENCES.md");
    std::set<std::string> listed;
    for (const CsvRow& row : manifest_rows()) {
        const std::string path = row.at("path");
        CAPTURE(path);
        listed.insert(path);
        CHECK((row.at("tier") == "A" || row.at("tier") == "A*"));
        const std::string& licence = row.at("licence");
        CHECK((licence.starts_with("CC0") || licence.starts_with("public-domain")));
        CHECK(licences.find("| recordings/" + path + " |") != std::string::npos);
        const Clip clip = load_clip(QUIETPASS_TESTDATA "/recordings/" + path, "r", {}, 80, 2500);
        CHECK(clip.samples.size() > 1000);
    }
    std::uintmax_t bytes = 0;
    for (const auto& entry :
         std::filesystem::recursive_directory_iterator(QUIETPASS_TESTDATA "/recordings")) {
        if (!entry.is_regular_file()) continue;
        bytes += entry.file_size();
        CAPTURE(entry.path().string());
        CHECK(listed.contains(
            std::filesystem::relative(entry.path(), QUIETPASS_TESTDATA "/recordings").string()));
    }
    CHECK(bytes < 6'000'000);
}

TEST_CASE("the folds of a class share no recording and together hold all of them") {
    const std::vector<std::string> all = shelf_with("").recordings("cattle");
    std::multiset<std::string> together;
    for (int use = 0; use < 3; ++use) {
        const std::string number = std::to_string(use);
        const auto used = shelf_with("fold = { of = 3, use = " + number + " }").recordings("cattle");
        const auto others = shelf_with("fold = { of = 3, exclude = " + number + " }").recordings("cattle");
        CHECK(used.size() + others.size() == all.size());
        together.insert(used.begin(), used.end());
        for (std::size_t i = 0; i < all.size(); ++i) {
            const bool in_fold = std::find(used.begin(), used.end(), all[i]) != used.end();
            CHECK(in_fold == (static_cast<int>(i) % 3 == use));
        }
    }
    CHECK(std::vector<std::string>(together.begin(), together.end()) == all);
}

TEST_CASE("recordings are chosen by lists and tiers") {
    CHECK(shelf_with("include = [\"cattle048\"]").recordings("cattle") ==
          std::vector<std::string>{"cattle048"});
    const auto without = shelf_with("exclude = [\"cattle048\"]").recordings("cattle");
    CHECK(without.size() + 1 == shelf_with("").recordings("cattle").size());
    CHECK(std::find(without.begin(), without.end(), "cattle048") == without.end());
    CHECK(shelf_with("tiers = [\"A*\"]").recordings("goat").empty());
    RecordingShelf one = shelf_with("[recordings.class.cattle]\ninclude = [\"cattle049\"]");
    CHECK(one.recordings("cattle").size() == 1);
    CHECK(one.recordings("dog").size() > 1);
}

TEST_CASE("every recording of a class is drawn once before any is drawn again") {
    RecordingShelf shelf = shelf_with("");
    Random random(3, "draws");
    std::map<std::string, int> times;
    const std::size_t clips = 12; // cattle, in the manifest
    for (std::size_t i = 0; i < 2 * clips; ++i) ++times[shelf.draw("cattle", random).path];
    CHECK(times.size() == clips);
    for (const auto& [path, count] : times) CHECK(count == 2);
}

TEST_CASE("a class without recordings is named, and what to do") {
    RecordingShelf shelf = shelf_with("");
    Random random(1, "draws");
    CHECK_THROWS_WITH(shelf.draw("cow", random), Catch::Contains("no recording of class 'cow'"));
    RecordingShelf none(parse_scenario("", "s.toml"));
    CHECK_THROWS_WITH(none.draw("cattle", random), Catch::Contains("name one with --recordings"));
}

TEST_CASE("a manifest's notes and the labels beside it say which parts are calls") {
    TestFolder folder;
    write_wav(folder.path("a.wav"), std::vector<float>(16000 * 3, 0.1F), 16000);
    write_wav(folder.path("b.wav"), std::vector<float>(16000 * 3, 0.1F), 16000);
    const std::string manifest =
        "path\tclass\trecording\ttier\tlicence\torigin\tnote\n"
        "a.wav\tpig_squeal\ta\tA\t\t\tx; squeal_segs=0.50-1.00,1.50-2.25; y\n"
        "b.wav\tpig_squeal\tb\tA\t\t\tsqueal_segs=0.50-1.00\n";
    std::ofstream(folder.path("MANIFEST.tsv")) << manifest;
    std::filesystem::create_directory(folder.path("labels"));
    std::ofstream(folder.path("labels/calls.tsv"))
        << "path\tstart_s\tend_s\tlabel\nb.wav\t1.00\t2.50\tcall\nb.wav\t0.00\t0.90\tgrunt\n";
    Scenario scenario = parse_scenario("", "s.toml");
    scenario.recordings_folder = folder.path();
    RecordingShelf shelf(scenario);
    const Clip& noted = shelf.find("pig_squeal", "a");
    REQUIRE(noted.parts.size() == 2);
    CHECK(noted.parts[1].start_s == Approx(1.5));
    CHECK(noted.parts[1].end_s == Approx(2.25));
    const Clip& labelled = shelf.find("pig_squeal", "b");
    REQUIRE(labelled.parts.size() == 1);
    CHECK(labelled.parts[0].start_s == Approx(1.0));
}

TEST_CASE("without labels the parts of a clip are where it sounds") {
    TestFolder folder;
    constexpr int kRate = 16000;
    std::vector<float> samples(kRate * 4, 0.0F);
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const double t = static_cast<double>(i) / kRate;
        const bool sounds = (t >= 0.5 && t < 1.3) || (t >= 2.0 && t < 3.1);
        const double rumble = 0.2 * std::sin(6.2831853 * 20.0 * t); // beneath the band
        samples[i] = static_cast<float>((sounds ? 0.3 : 0.001) * std::sin(6.2831853 * 300.0 * t) + rumble);
    }
    write_wav(folder.path("a.wav"), samples, kRate);
    const Clip clip = load_clip(folder.path("a.wav"), "a", {}, 80, 2500);
    REQUIRE(clip.parts.size() == 2);
    CHECK(clip.parts[0].start_s == Approx(0.5).margin(0.04));
    CHECK(clip.parts[0].end_s == Approx(1.3).margin(0.04));
    CHECK(clip.parts[1].start_s == Approx(2.0).margin(0.04));
    CHECK(clip.parts[1].end_s == Approx(3.1).margin(0.04));
}

TEST_CASE("a part keeps its pitch and its length at another rate") {
    Clip clip;
    clip.sample_rate_hz = 16000;
    clip.samples.resize(16000);
    for (std::size_t i = 0; i < clip.samples.size(); ++i) {
        clip.samples[i] = static_cast<float>(std::sin(6.2831853 * 500.0 * static_cast<double>(i) / 16000.0));
    }
    const std::vector<float> out = part_at_rate(clip, {0.25, 0.75}, 48000);
    CHECK(out.size() == Approx(24000).margin(4));
    int rises = 0;
    for (std::size_t i = 1; i < out.size(); ++i) rises += out[i - 1] < 0.0F && out[i] >= 0.0F ? 1 : 0;
    CHECK(rises == Approx(250).margin(2));
}

TEST_CASE("a recording that can't be read is named") {
    TestFolder folder;
    std::ofstream(folder.path("a.wav")) << "not audio";
    CHECK_THROWS_WITH(load_clip(folder.path("a.wav"), "a", {}, 80, 2500),
                      Catch::StartsWith(folder.path("a.wav")));
    CHECK_THROWS_AS(load_clip(folder.path("none.wav"), "a", {}, 80, 2500), Failure);
}

} // namespace quietpass::scenario
