#include <sndfile.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <vector>

#include "daemon/failure.h"
#include "daemon/tuning/clip_reader.h"
#include "daemon/tuning/manifest.h"
#include "tests/test_folder.h"

using namespace quietpass;
namespace fs = std::filesystem;

namespace {

void write(const fs::path& file, const std::string& text) {
    fs::create_directories(file.parent_path());
    std::ofstream(file) << text;
}

void write_wav(const fs::path& file, int rate_hz, const std::vector<float>& samples, int channels = 1) {
    fs::create_directories(file.parent_path());
    SF_INFO info{};
    info.samplerate = rate_hz;
    info.channels = channels;
    info.format = SF_FORMAT_WAV | SF_FORMAT_FLOAT;
    SNDFILE* out = sf_open(file.c_str(), SFM_WRITE, &info);
    REQUIRE(out != nullptr);
    sf_writef_float(out, samples.data(), static_cast<sf_count_t>(samples.size()) / channels);
    sf_close(out);
}

std::string failure_of(const std::function<void()>& act, int exit_code) {
    try {
        act();
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == exit_code);
        CHECK(std::string(failure.what()).find('\n') == std::string::npos);
        return failure.what();
    }
    FAIL("no Failure was thrown");
    return {};
}

} // namespace

TEST_CASE("A manifest gives class, recording and the squeals noted for a clip") {
    const TestFolder folder;
    write(folder.path() / "MANIFEST.tsv",
          "path\tclass\trecording\tnote\n"
          "pig_squeal/a.wav\tpig_squeal\tfs1\ttier=A; squeal_segs=0.5-1.25,2.00-2.5; domfreq=9Hz\n"
          "cattle/b.wav\tcattle\t\t\n");
    const auto entries = entries_of_folder(folder.path());
    REQUIRE(entries.size() == 2);
    CHECK(entries[0].recording == "fs1");
    REQUIRE(entries[0].squeals.size() == 2);
    CHECK(entries[0].squeals[0].start_s == 0.5);
    CHECK(entries[0].squeals[1].end_s == 2.5);
    CHECK(entries[1].recording == "cattle/b.wav");
}

TEST_CASE("Without a manifest the sub-folder is the class") {
    const TestFolder folder;
    write_wav(folder.path() / "speech" / "x.wav", 8000, std::vector<float>(4000, 0.1F));
    const auto entries = entries_of_folder(folder.path());
    REQUIRE(entries.size() == 1);
    CHECK(entries[0].kind == "speech");
}

TEST_CASE("What is wrong with a manifest or labels is said with file and line") {
    const TestFolder folder;
    const fs::path labels = folder.path() / "l.tsv";
    write(labels, "path\tstart_s\tend_s\tlabel\na\t0.1\t0.4\tcall\na\t0.5\tx\tcall\n");
    CHECK(failure_of([&] { read_labels(labels); }, kExitUsage).find("l.tsv:3: end_s: expected seconds") !=
          std::string::npos);
    write(labels, "path\tstart_s\tend_s\tlabel\na\t0.1\t0.4\tmoo\n");
    CHECK(failure_of([&] { read_labels(labels); }, kExitUsage).find(":2: label: expected call") !=
          std::string::npos);
    write(labels, "path\tstart_s\tend_s\tlabel\na\t0.1\t0.6\tcall\na\t0.5\t0.9\tcall\n");
    CHECK(failure_of([&] { read_labels(labels); }, kExitUsage).find("in order and apart") !=
          std::string::npos);
    write(labels, "path\tstart_s\n");
    write(folder.path() / "MANIFEST.tsv", "path\trecording\na\tb\n");
    CHECK(failure_of([&] { entries_of_folder(folder.path()); }, kExitUsage).find("no column \"class\"") !=
          std::string::npos);
    failure_of([&] { entries_of_folder(folder.path() / "nowhere"); }, kExitFailure);
    failure_of([&] { read_labels(folder.path() / "nowhere"); }, kExitFailure);
}

TEST_CASE("Clips come mono at the trainer's rate, with the labels' spans in place of found ones") {
    const TestFolder folder;
    std::vector<float> stereo(2 * 48000, 0.0F);
    for (std::size_t i = 0; i < 48000; ++i) {
        const auto value = static_cast<float>(0.5 * std::sin(0.02 * static_cast<double>(i)));
        stereo[2 * i] = value;
        stereo[2 * i + 1] = value;
    }
    write_wav(folder.path() / "cattle" / "a.wav", 48000, stereo, 2);
    write_wav(folder.path() / "pig_other" / "b.wav", 16000, std::vector<float>(16000, 0.2F));
    const auto entries = entries_of_folder(folder.path());
    const auto nothing = [](std::size_t) {};
    const auto found = read_clips(entries, {}, nothing);
    REQUIRE(found.size() == 1);
    CHECK(std::abs(found[0].length_s() - 1.0) < 0.01);
    CHECK(found[0].spans[0].label == tuning::SpanLabel::kCall);
    const SpanLabels labels = {{"cattle/a.wav", {{0.25, 0.5, tuning::SpanLabel::kGrunt}}}};
    const auto labelled = read_clips(entries, labels, nothing);
    REQUIRE(labelled[0].spans.size() == 1);
    CHECK(labelled[0].spans[0].start_s == 0.25);
    CHECK(labelled[0].spans[0].label == tuning::SpanLabel::kGrunt);
}

TEST_CASE("A clip that is no audio, empty, or holds no numbers is named") {
    const TestFolder folder;
    const auto nothing = [](std::size_t) {};
    const auto read = [&] { read_clips(entries_of_folder(folder.path()), {}, nothing); };
    const fs::path file = folder.path() / "cattle" / "a.wav";
    write(file, "this is no audio");
    CHECK(failure_of(read, kExitFailure).find("a.wav") != std::string::npos);
    write_wav(file, 16000, {});
    failure_of(read, kExitFailure);
    write_wav(file, 16000, {0.1F, std::numeric_limits<float>::quiet_NaN()});
    CHECK(failure_of(read, kExitFailure).find("no numbers") != std::string::npos);
}

TEST_CASE("A clip that teaches nothing still has its number, so the manifest alone tells the folds") {
    const TestFolder folder;
    std::vector<float> tone(16000);
    for (std::size_t i = 0; i < tone.size(); ++i)
        tone[i] = i < 8000 ? 0.0F : 0.3F * std::sin(0.3F * static_cast<float>(i));
    write_wav(folder.path() / "metal/a.wav", 16000, tone);
    write_wav(folder.path() / "metal/b.wav", 16000, std::vector<float>(1600, 0.1F));
    write_wav(folder.path() / "metal/c.wav", 16000, tone);
    auto entries = entries_of_folder(folder.path());
    number_folds(entries, 3);
    const auto clips = read_clips(entries, {}, [](std::size_t) {});
    REQUIRE(clips.size() == 2); // b is too short for anything in it to be a sound
    CHECK(clips[0].fold == 0);
    CHECK(clips[1].fold == 2);
}
