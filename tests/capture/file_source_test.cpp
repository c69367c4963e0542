#include "daemon/capture/file_source.h"

#include <sndfile.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "daemon/failure.h"
#include "tests/capture/sound_files.h"

using Catch::Contains;
using namespace quietpass;
using namespace quietpass::tests;

namespace {

struct WhatFailed {
    std::string line;
    int exit_code = 0;
};

WhatFailed failure_opening(const std::string& path) {
    try {
        FileSource source(path);
    } catch (const Failure& failure) {
        CHECK_THAT(std::string(failure.what()), Contains(path) && !Contains("\n"));
        return {failure.what(), failure.exit_code()};
    }
    return {};
}

std::vector<std::vector<float>> read_all(FileSource& source) {
    std::vector<std::vector<float>> channels(static_cast<std::size_t>(source.channels()));
    Stretch stretch;
    std::int64_t index = 0;
    while (source.next(stretch) && stretch.kind == Stretch::Kind::kSamples) {
        CHECK(stretch.first_index == index);
        index += stretch.count;
        for (std::size_t channel = 0; channel < channels.size(); ++channel) {
            const auto part = stretch.channel(static_cast<int>(channel));
            channels[channel].insert(channels[channel].end(), part.begin(), part.end());
        }
    }
    CHECK(stretch.kind == Stretch::Kind::kEnd);
    CHECK(stretch.first_index == source.length());
    CHECK(source.next(stretch));
    CHECK(stretch.kind == Stretch::Kind::kEnd);
    return channels;
}

} // namespace

TEST_CASE("Any rate, channel count and container is read sample by sample") {
    const TestFolder folder;
    for (const int format : {SF_FORMAT_WAV | SF_FORMAT_PCM_16, SF_FORMAT_FLAC | SF_FORMAT_PCM_24,
                             SF_FORMAT_AIFF | SF_FORMAT_PCM_24, SF_FORMAT_WAV | SF_FORMAT_FLOAT}) {
        for (const int channels : {1, 2, 5}) {
            for (const int rate_hz : {8000, 44100}) {
                const std::vector<float> samples = noise(1, channels, rate_hz);
                write_sound(folder.path("sound"), samples, channels, rate_hz, format);
                FileSource source(folder.path("sound"), 1000);
                CHECK(source.channels() == channels);
                CHECK(source.sample_rate_hz() == rate_hz);
                CHECK(source.length() == rate_hz);
                const auto read = read_all(source);
                bool same = true;
                for (std::size_t i = 0; i < samples.size(); ++i) {
                    const auto width = static_cast<std::size_t>(channels);
                    same = same && read[i % width].at(i / width) == samples[i];
                }
                CHECK(same);
            }
        }
    }
}

TEST_CASE("A path that isn't there or is a folder is bad usage") {
    const TestFolder folder;
    const WhatFailed missing = failure_opening(folder.path("nothing.wav"));
    CHECK(missing.exit_code == kExitUsage);
    CHECK_THAT(missing.line, Contains("isn't there"));
    CHECK(failure_opening(folder.path(".")).exit_code == kExitUsage);
}

TEST_CASE("A cut file is refused, with what is there and what should be") {
    const TestFolder folder;
    const std::vector<float> samples = noise(2, 1);
    for (const auto& [name, format] : {std::pair{"a.wav", SF_FORMAT_WAV | SF_FORMAT_PCM_16},
                                       std::pair{"a.aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_16},
                                       std::pair{"a.flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_16},
                                       std::pair{"a.ogg", SF_FORMAT_OGG | SF_FORMAT_VORBIS}}) {
        write_sound(folder.path(name), samples, 1, 48000, format);
        CHECK(failure_opening(folder.path(name)).line.empty());
        const std::string bytes = read_bytes(folder.path(name));
        write_bytes(folder.path(name), bytes.substr(0, bytes.size() / 2));
        const WhatFailed cut = failure_opening(folder.path(name));
        CHECK(cut.exit_code == kExitFailure);
        CHECK_THAT(cut.line, Contains("is cut short"));
    }
    CHECK_THAT(failure_opening(folder.path("a.wav")).line,
               Contains("1.000 s are there and its header says 2.000 s"));
}

TEST_CASE("A file written to a pipe, whose header knows no length, is whole") {
    const TestFolder folder;
    write_wav16(folder.path("a.wav"), noise(1, 1));
    std::string bytes = read_bytes(folder.path("a.wav"));
    const std::size_t data = bytes.find("data");
    bytes.replace(data + 4, 4, "\xff\xff\xff\xff");
    write_bytes(folder.path("a.wav"), bytes);
    FileSource source(folder.path("a.wav"));
    CHECK(source.length() == 48000);
}

TEST_CASE("Empty files, files without samples and files that are not audio are refused") {
    const TestFolder folder;
    write_bytes(folder.path("empty.wav"), "");
    CHECK_THAT(failure_opening(folder.path("empty.wav")).line, Contains("is empty"));
    write_bytes(folder.path("text.wav"), "time_s,input,state\n0,entered,1\n");
    CHECK_THAT(failure_opening(folder.path("text.wav")).line, Contains("can't be read as audio"));
    write_wav16(folder.path("none.wav"), {});
    CHECK_THAT(failure_opening(folder.path("none.wav")).line, Contains("holds no samples"));
    for (const char* name : {"empty.wav", "text.wav", "none.wav"}) {
        CHECK(failure_opening(folder.path(name)).exit_code == kExitFailure);
    }
}

TEST_CASE("A sample that is not a finite number is refused at the start, with its place") {
    const TestFolder folder;
    for (const float bad :
         {std::numeric_limits<float>::quiet_NaN(), std::numeric_limits<float>::infinity()}) {
        std::vector<float> samples = noise(2, 2);
        samples[2 * 72000 + 1] = bad;
        write_sound(folder.path("a.wav"), samples, 2, 48000, SF_FORMAT_WAV | SF_FORMAT_FLOAT);
        const WhatFailed failed = failure_opening(folder.path("a.wav"));
        CHECK(failed.exit_code == kExitFailure);
        CHECK_THAT(failed.line, Contains("not a number at 1.500 s"));
    }
}
