#include "daemon/clips/masked_cut.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "daemon/clips/clip_flac.h"
#include "tests/clips/clip_house.h"

using namespace quietpass;

namespace {

// Four seconds from station second 100 on, of two microphones with rates of their own.
SoundCut cut_of_two() {
    SoundCut cut;
    cut.start_s = 100.0;
    cut.rate_hz = 8000.0;
    cut.frames = 32000;
    for (const double rate_hz : {8000.0, 16000.0}) {
        std::vector<float> samples;
        for (int i = 0; i < static_cast<int>(4.0 * rate_hz); ++i) {
            samples.push_back(0.3F * std::sin(static_cast<float>(i % 977) * 0.37F));
        }
        cut.channels.push_back({rate_hz, samples});
    }
    return cut;
}

} // namespace

TEST_CASE("Of a masked cut the call is left as it was heard, at each microphone", "[clips]") {
    const SoundCut cut = cut_of_two();
    const SoundCut masked = with_speech_masked(cut, std::vector<CallSpan>{{101.0, 102.0}});
    for (std::size_t channel = 0; channel < 2; ++channel) {
        const auto rate = static_cast<std::size_t>(cut.channels[channel].rate_hz);
        const auto& before = cut.channels[channel].samples;
        const auto& after = masked.channels[channel].samples;
        REQUIRE(after.size() == before.size());
        std::size_t same = 0;
        for (std::size_t i = 0; i < before.size(); ++i) {
            if (i >= rate && i < 2 * rate) {
                REQUIRE(after[i] == before[i]);
            } else if (after[i] == before[i]) {
                ++same;
            }
        }
        CHECK(same < before.size() / 50);
    }
}

TEST_CASE("What was lost stays lost in a masked cut, and spreads to nothing else", "[clips]") {
    SoundCut cut = cut_of_two();
    for (std::size_t i = 4000; i < 4100; ++i) {
        cut.channels[0].samples[i] = std::numeric_limits<float>::quiet_NaN();
    }
    const SoundCut masked = with_speech_masked(cut, std::vector<CallSpan>{{101.0, 102.0}});
    for (std::size_t i = 0; i < 32000; ++i) {
        CHECK(std::isnan(masked.channels[0].samples[i]) == (i >= 4000 && i < 4100));
    }
}

TEST_CASE("Only a station that wants it masks its clips, and such a clip says so", "[clips]") {
    ClipSettings settings;
    settings.quiet_percent = 0.0;
    for (const bool masked : {false, true}) {
        settings.mask_speech = masked;
        ClipHouse house(settings);
        ClipJob job = house.job();
        job.wish.calls = {{0.25, 0.5}};
        REQUIRE(house.filer->file(job));
        const std::string bytes = *house.files.read("/out/" + house.clips()[0].row.file);
        CHECK((bytes.find("speech=masked") != std::string::npos) == masked);
        SoundCut expected = masked ? with_speech_masked(job.cut, job.wish.calls) : job.cut;
        const std::string sound = flac_of(expected, settings.bits, {});
        // The frames of sound are at the end of a FLAC file, after the tags.
        CHECK(bytes.substr(bytes.size() - 4000) == sound.substr(sound.size() - 4000));
    }
}
