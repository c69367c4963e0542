#include "daemon/clips/clip_flac.h"

#include <sndfile.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "tests/test_folder.h"

using namespace quietpass;

namespace {

struct Read {
    SF_INFO info{};
    std::vector<int> frames;
    std::string title;
    std::string comment;
};

Read read(const std::string& bytes) {
    const TestFolder folder;
    Read read;
    SNDFILE* const file = sf_open(folder.write("clip.flac", bytes).c_str(), SFM_READ, &read.info);
    REQUIRE(file != nullptr);
    read.frames.resize(static_cast<std::size_t>(read.info.frames * read.info.channels));
    CHECK(sf_readf_int(file, read.frames.data(), read.info.frames) == read.info.frames);
    const auto text = [file](int which) {
        const char* const found = sf_get_string(file, which);
        return std::string(found == nullptr ? "" : found);
    };
    read.title = text(SF_STR_TITLE);
    read.comment = text(SF_STR_COMMENT);
    sf_close(file);
    return read;
}

SoundCut cut_of(std::vector<std::vector<float>> channels, double rate_hz = 48000.0) {
    SoundCut cut;
    cut.rate_hz = rate_hz;
    cut.frames = channels.front().size();
    for (auto& samples : channels) cut.channels.push_back({rate_hz, std::move(samples)});
    return cut;
}

} // namespace

TEST_CASE("A clip gives back every 16-bit sample as the microphone gave it", "[clips]") {
    std::mt19937 random(3);
    std::vector<std::vector<int>> samples(2);
    std::vector<std::vector<float>> heard(2);
    for (int i = -32768; i < 32768; ++i) {
        samples[0].push_back(i);
        samples[1].push_back(static_cast<int>(random() % 65536) - 32768);
    }
    for (std::size_t channel = 0; channel < 2; ++channel) {
        for (const int sample : samples[channel])
            heard[channel].push_back(static_cast<float>(sample) * (1.0F / 32768.0F));
    }
    for (const int bits : {16, 24}) {
        const Read clip = read(flac_of(cut_of(heard), bits, {}));
        CHECK(clip.info.channels == 2);
        CHECK(clip.info.samplerate == 48000);
        REQUIRE(clip.info.frames == 65536);
        bool same = true;
        for (std::size_t i = 0; i < samples[0].size(); ++i) {
            for (std::size_t channel = 0; channel < 2; ++channel)
                same = same && clip.frames[2 * i + channel] == samples[channel][i] * 65536;
        }
        CHECK(same);
    }
}

TEST_CASE("A 24-bit clip gives back every 24-bit sample", "[clips]") {
    std::mt19937 random(4);
    std::vector<int> samples;
    std::vector<float> heard;
    for (int i = 0; i < 100'000; ++i) {
        samples.push_back(static_cast<int>(random() % (1U << 24)) - (1 << 23));
        heard.push_back(static_cast<float>(samples.back()) * 0x1p-23F);
    }
    const Read clip = read(flac_of(cut_of({heard}), 24, {}));
    bool same = true;
    for (std::size_t i = 0; i < samples.size(); ++i) same = same && clip.frames[i] == samples[i] * 256;
    CHECK(same);
}

TEST_CASE("What is louder than full scale is at full scale, what was lost is silence", "[clips]") {
    const float lost = std::numeric_limits<float>::quiet_NaN();
    const Read clip = read(flac_of(cut_of({{2.0F, -2.0F, lost, 0.5F}}), 16, {}));
    CHECK(clip.frames == std::vector{32767 * 65536, -32768 * 65536, 0, 16384 * 65536});
}

TEST_CASE("A clip says what it is", "[clips]") {
    const Read clip = read(flac_of(cut_of({std::vector<float>(480, 0.0F)}), 24,
                                   {.title = "call 17 of passage 12",
                                    .station = "box",
                                    .software = "s",
                                    .date = "d",
                                    .comment = "a=b; c=d"}));
    CHECK(clip.title == "call 17 of passage 12");
    CHECK(clip.comment == "a=b; c=d");
}

TEST_CASE("A microphone of another rate stands in step with the first", "[clips]") {
    // The same click at 0.5 s on both.
    SoundCut cut = cut_of({std::vector<float>(48000, 0.0F)});
    cut.channels[0].samples[24000] = 0.5F;
    cut.channels.push_back({32000.0, std::vector<float>(32000, 0.0F)});
    cut.channels[1].samples[16000] = 0.5F;
    const Read clip = read(flac_of(cut, 24, {}));
    REQUIRE(clip.info.frames == 48000);
    std::size_t loudest = 0;
    for (std::size_t i = 0; i < 48000; ++i) {
        if (std::abs(clip.frames[2 * i + 1]) > std::abs(clip.frames[2 * loudest + 1])) loudest = i;
    }
    CHECK(loudest == 24000);
}

TEST_CASE("More channels than a FLAC file holds are refused, not cut off", "[clips]") {
    CHECK_THROWS(flac_of(cut_of(std::vector<std::vector<float>>(9, std::vector<float>(10, 0.0F))), 24, {}));
}

TEST_CASE("What is missing in a clip is said with its place", "[clips]") {
    const float lost = std::numeric_limits<float>::quiet_NaN();
    std::vector<float> broken(1000, 0.1F);
    for (std::size_t i = 500; i < 750; ++i) broken[i] = lost;
    broken[999] = lost;
    const SoundCut cut = cut_of({std::vector<float>(1000, 0.1F), broken}, 1000.0);
    CHECK(lost_words(cut, {"head", "race"}) == "race 0.500-0.750, race 0.999-1.000");
    CHECK(lost_words(cut_of({std::vector<float>(10, 0.0F)}), {"head"}).empty());
}
