#include "classifiers/tuning/simulated_stream.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <utility>

#include "classifiers/sound_finder.h"
#include "classifiers/tuning/active_spans.h"
#include "classifiers/tuning/labelled_sound.h"
#include "classifiers/tuning/published_calls.h"
#include "classifiers/tuning/room.h"
#include "tests/tuning/made_clips.h"

using namespace quietpass;
using namespace quietpass::tuning;

namespace {

struct World {
    World() {
        for (int i = 0; i < 3; ++i) calls.push_back(made_call("cattle", 120 + 20 * i, i));
        for (int i = 0; i < 3; ++i) bursts.push_back(made_burst("metal", i));
        for (const Clip& clip : calls) clips.calls.push_back(&clip);
        for (const Clip& clip : bursts) clips.others.push_back(&clip);
    }
    std::vector<Clip> calls;
    std::vector<Clip> bursts;
    StreamClips clips;
};

} // namespace

TEST_CASE("The same plan gives the same samples, another seed others") {
    const World world;
    StreamPlan plan;
    plan.passages = 2;
    plan.seed = 8;
    const SimulatedStream one = simulate(plan, world.clips);
    CHECK(one.samples == simulate(plan, world.clips).samples);
    plan.seed = 9;
    CHECK(one.samples != simulate(plan, world.clips).samples);
}

TEST_CASE("Published calls stand where they are asked for, and nowhere else") {
    const World world;
    StreamPlan plan;
    plan.passages = 6;
    plan.vocal_share = 1.0;
    plan.seed = 3;
    const auto published = [&](double share) {
        plan.published = share;
        int count = 0;
        int calls = 0;
        for (const PlacedSpan& placed : simulate(plan, world.clips).placed) {
            if (placed.label != SpanLabel::kCall) continue;
            ++calls;
            if (placed.kind == "published call") ++count;
        }
        CHECK(calls >= 6);
        return std::pair(count, calls);
    };
    CHECK(published(0.0).first == 0);
    const auto [count, calls] = published(1.0);
    CHECK(count == calls);
}

TEST_CASE("A published cattle call has the pitch of a bugle or of a low call") {
    Random random(5);
    for (int i = 0; i < 12; ++i) {
        const std::vector<float> call = published_cattle_call(random);
        std::vector<float> samples(call.size() + 4 * static_cast<std::size_t>(kClipRateHz), 0.0F);
        for (float& sample : samples) sample = 1e-3F * random.white();
        for (std::size_t k = 0; k < call.size(); ++k)
            samples[k + 2 * static_cast<std::size_t>(kClipRateHz)] += 0.05F * call[k];
        SoundFinder finder(kClipRateHz, SegmentSettings{});
        finder.process(samples);
        finder.finish();
        Sound sound{};
        Sound longest{};
        while (finder.take(sound)) {
            if (sound.end_s - sound.start_s > longest.end_s - longest.start_s) longest = sound;
        }
        const float f0_hz = longest.f0_hz;
        CAPTURE(i, f0_hz);
        // Half an octave of arch and slope around what is published, and its octaves where two voices sound.
        CHECK(((f0_hz > 50 && f0_hz < 135) || (f0_hz > 560 && f0_hz < 1300)));
    }
}

TEST_CASE("Calls stand in vocal passages only, at the level asked for, and samples stay within full scale") {
    const World world;
    StreamPlan plan;
    plan.passages = 8;
    plan.vocal_share = 0.5;
    plan.snr_db = 5;
    plan.seed = 12;
    const SimulatedStream stream = simulate(plan, world.clips);
    REQUIRE(stream.passages.size() == 8);
    int calls = 0;
    for (const PlacedSpan& placed : stream.placed) {
        if (placed.label != SpanLabel::kCall) continue;
        ++calls;
        CHECK(placed.snr_db == 5);
        for (const SimulatedPassage& passage : stream.passages) {
            if (placed.start_s >= passage.start_s && placed.start_s < passage.end_s) CHECK(passage.vocal);
        }
    }
    CHECK(calls >= 1);
    for (const float sample : stream.samples) {
        if (!(std::abs(sample) <= 1.0F)) FAIL("a sample beyond full scale");
    }
}

TEST_CASE("Loud calls of a simulated stream are found and labelled, bursts are not called calls") {
    const World world;
    StreamPlan plan;
    plan.passages = 6;
    plan.vocal_share = 1;
    plan.snr_db = 20;
    plan.seed = 3;
    const HeardStream heard = hear(simulate(plan, world.clips), {});
    CHECK(heard.calls >= 6);
    CHECK(heard.calls_found >= heard.calls - 1);
    for (const LabelledSound& sound : heard.sounds) {
        if (sound.label == SpanLabel::kCall) CHECK(sound.recording.rfind("cattle", 0) == 0);
        if (sound.kind == "metal") CHECK(sound.label != SpanLabel::kCall);
    }
}

TEST_CASE("Active spans are where a clip sounds") {
    std::vector<float> samples(32000, 0.0F);
    Random random(1);
    for (float& sample : samples) sample = 0.0005F * random.white();
    for (std::size_t i = 8000; i < 16000; ++i) samples[i] += 0.3F * std::sin(0.2F * static_cast<float>(i));
    const std::vector<tuning::Span> spans = active_spans(samples, 60, 4000, SpanLabel::kCall);
    REQUIRE(spans.size() == 1);
    CHECK(spans[0].start_s == Approx(0.5).margin(0.03));
    CHECK(spans[0].end_s == Approx(1.0).margin(0.03));
    CHECK(active_spans({}, 60, 4000, SpanLabel::kCall).empty());
}

TEST_CASE("At double speed a tone is an octave up and half as long, and a room lengthens it") {
    std::vector<float> tone(16000);
    for (std::size_t i = 0; i < tone.size(); ++i) tone[i] = std::sin(0.1F * static_cast<float>(i));
    const std::vector<float> fast = at_speed(tone, 2.0);
    REQUIRE(fast.size() == 8000);
    for (std::size_t i = 100; i < 200; ++i)
        CHECK(fast[i] == Approx(std::sin(0.2 * static_cast<double>(i))).margin(0.01));
    Random random(2);
    const std::vector<float> wet = in_room(tone, 0.5, 6, random);
    CHECK(wet.size() == 16000 + static_cast<std::size_t>(0.5 * 0.6 * 16000));
}
