#include "daemon/bundles/clip_sound.h"

#include <sndfile.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdint>

#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// Two microphones, three seconds, every value that 16 bits have among them.
ClipSound loud_clip() {
    ClipSound clip;
    clip.rate_hz = 16000.0;
    clip.channels = 2;
    clip.format = SF_FORMAT_FLAC | SF_FORMAT_PCM_16;
    std::uint32_t seed = 5;
    for (int i = 0; i < 2 * 48000; ++i) {
        seed = seed * 1664525U + 1013904223U;
        clip.samples.push_back(static_cast<std::int32_t>(seed & 0xFFFF0000U));
    }
    clip.tags = {{SF_STR_TITLE, "call 4"}};
    return clip;
}

} // namespace

TEST_CASE("A clip comes out of its FLAC as it went in, tags too") {
    const TestFolder folder;
    const ClipSound clip = loud_clip();
    const ClipSound read = read_clip(folder.write("a.flac", flac_of(clip)));
    CHECK(read.samples == clip.samples);
    CHECK(read.rate_hz == 16000.0);
    CHECK(read.channels == 2);
    CHECK(std::find(read.tags.begin(), read.tags.end(), clip.tags.front()) != read.tags.end());
}

TEST_CASE("A masked clip has the call's samples of the file in each microphone, and no others") {
    const TestFolder folder;
    const ClipSound clip = loud_clip();
    ClipSound masked = clip;
    mask_speech(masked, std::vector<CallSpan>{{1.0, 2.0}});
    const ClipSound read = read_clip(folder.write("a.flac", flac_of(masked)));
    REQUIRE(read.samples.size() == clip.samples.size());
    std::size_t altered_inside = 0;
    std::size_t same_outside = 0;
    for (std::size_t i = 0; i < clip.samples.size(); ++i) {
        const std::size_t frame = i / 2;
        const bool inside = frame >= 16000 && frame < 32000;
        if (inside && read.samples[i] != clip.samples[i]) ++altered_inside;
        if (!inside && read.samples[i] == clip.samples[i]) ++same_outside;
    }
    CHECK(altered_inside == 0);
    CHECK(same_outside < 20);
}

TEST_CASE("A clip that is gone or no sound fails in one line that names it") {
    const TestFolder folder;
    CHECK_THROWS_WITH(read_clip(folder.path("gone.flac")), Catch::Contains("gone.flac"));
    CHECK_THROWS_AS(read_clip(folder.write("words.flac", "no sound")), Failure);
}
