#include "tests/capture/test_microphone.h"

#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>

namespace quietpass::tests {

TestMicrophones& TestMicrophones::add(const std::string& name, const std::vector<float>& interleaved,
                                      int channels, const std::string& options) {
    static int session = 0;
    const std::string wav = folder_.path(name + ".wav");
    write_wav16(wav, interleaved, channels);
    arguments_ += " --name " + name + " --wav '" + wav + "' --speed " + std::to_string(speed_) +
                  " --session test" + std::to_string(++session) + " " + options;
    return *this;
}

void TestMicrophones::plug_in() {
    const std::string out = folder_.path("asound.conf");
    const std::string command = std::string(QUIETPASS_MAKE_ASOUND_CONF) + " --plugin '" +
                                QUIETPASS_TEST_MICROPHONE + "' --out '" + out + "'" + arguments_;
    INFO(command);
    REQUIRE(std::system(command.c_str()) == 0); // NOLINT: a test's own command
    setenv("ALSA_CONFIG_PATH", out.c_str(), 1);
}

std::int64_t Heard::lost() const {
    std::int64_t sum = 0;
    for (const Loss& loss : losses) sum += loss.count;
    return sum;
}

Heard listen(AudioSource& source, const Clock& clock, std::int64_t until_index) {
    const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(30);
    Heard heard;
    heard.samples.resize(static_cast<std::size_t>(source.channels()));
    Stretch stretch;
    while (heard.next_index < until_index) {
        if (std::chrono::steady_clock::now() > give_up)
            FAIL("only " << heard.next_index << " samples in 30 s");
        if (!source.next(stretch, clock.monotonic_ns() + 1'000'000'000)) continue;
        if (stretch.kind == Stretch::Kind::kEnd) break;
        heard.in_order = heard.in_order && stretch.first_index == heard.next_index && stretch.count > 0;
        heard.next_index = stretch.first_index + stretch.count;
        if (stretch.kind == Stretch::Kind::kLoss) {
            if (!heard.losses.empty() && heard.losses.back().cause == stretch.cause &&
                heard.losses.back().first_index + heard.losses.back().count == stretch.first_index) {
                heard.losses.back().count += stretch.count;
            } else {
                heard.losses.push_back({stretch.first_index, stretch.count, stretch.cause});
                heard.starts.push_back(static_cast<std::int64_t>(heard.samples[0].size()));
            }
            continue;
        }
        for (int channel = 0; channel < source.channels(); ++channel) {
            const auto part = stretch.channel(channel);
            std::vector<float>& all = heard.samples[static_cast<std::size_t>(channel)];
            all.insert(all.end(), part.begin(), part.end());
        }
    }
    return heard;
}

std::int64_t place_of(const std::vector<float>& part, const std::vector<float>& samples) {
    const auto found = std::search(samples.begin(), samples.end(), part.begin(), part.end());
    return found == samples.end() ? -1 : found - samples.begin();
}

} // namespace quietpass::tests
