#include "classifiers/sound_finder.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>
#include <utility>
#include <vector>

#include "classifiers/frame_history.h"
#include "classifiers/level_detector.h"
#include "classifiers/segment_fields.h"
#include "classifiers/sound_frames.h"
#include "classifiers/sound_measures.h"
#include "classifiers/span_queue.h"
#include "classifiers/span_tracker.h"
#include "classifiers/tone_detector.h"
#include "classifiers/whitened_frame.h"
#include "dsp/noise_floor.h"
#include "dsp/resampler.h"
#include "dsp/spectrum_stream.h"

namespace quietpass {

namespace {

// The floor hears this much before detection starts, so that a recording may begin with a call.
constexpr FrameIndex kPreRoll = 125; // 2 s
// A voice of this length and strength says where in a sound its call lies.
constexpr float kLeastVoiceS = 0.15F;
constexpr float kLeastTone = 1.8F;
constexpr std::size_t kChunk = 1024; // device samples at a time

FrameIndex frames_of(double seconds) {
    return static_cast<FrameIndex>(std::lround(seconds * dsp::kFrameRateHz));
}

SpanSettings level_spans(const SegmentSettings& s) {
    SpanSettings spans;
    spans.on = static_cast<float>(s.level_on_db);
    spans.off = static_cast<float>(s.level_off_db);
    spans.drop = 18.0F; // dB: what is weaker than this against the loudest moment belongs to something else
    spans.shortest = std::max<FrameIndex>(1, frames_of(s.shortest_s));
    spans.longest = frames_of(s.longest_s);
    spans.join = frames_of(s.join_s);
    return spans;
}

SpanSettings tone_spans(const SegmentSettings& s) {
    SpanSettings spans = level_spans(s);
    spans.on = static_cast<float>(s.tone_on);
    spans.off = static_cast<float>(s.tone_off);
    spans.keep_share = 0.25F; // of the harmonics' own peak
    spans.drop = 0.0F;
    return spans;
}

bool is_steady_tone(const MeasureRow& m) {
    return m[kVoiceSteadyShare] > 0.8F ||
           (m[kVoiceShare] >= 0.3F && m[kLevelIqrDb] < 2.0F && m[kVoiceRangeOct] < 0.03F);
}

} // namespace

struct SoundFinder::Parts {
    Parts(double sample_rate_hz, const SegmentSettings& settings)
        : rate_hz(sample_rate_hz),
          resampler(sample_rate_hz),
          history(static_cast<std::size_t>(2 * frames_of(settings.longest_s) + SoundFrames::kBefore +
                                           SoundFrames::kAfter + kPreRoll + 16)),
          level(settings.low_hz, settings.high_hz),
          tone(settings.f0_low_hz, settings.f0_high_hz),
          level_spans_tracker(level_spans(settings)),
          tone_spans_tracker(tone_spans(settings)),
          measures(settings.low_hz, settings.high_hz, settings.f0_low_hz, settings.f0_high_hz),
          shortest(std::max<FrameIndex>(6, frames_of(settings.shortest_s))),
          resampled(resampler.max_output(kChunk) + resampler.max_output(0)) {}

    void take_resampled(std::size_t count) noexcept;
    void add_frames() noexcept;
    void add_frame(std::span<const float> frame, std::span<const float> power) noexcept;
    void detect(FrameIndex frame) noexcept;
    void end_epoch() noexcept;
    void measure_ready(bool all) noexcept;
    void add_sound(const Span& span, FoundBy by) noexcept;
    void measure_voice(const Span& span) noexcept;
    Sound sound_of(const Span& span, FoundBy by) const noexcept;
    bool steady_and_long(const Span& span, const MeasureRow& m) const noexcept;
    void remember_steady(const Span& span, const MeasureRow& m) noexcept;
    double time_of(FrameIndex frame) const noexcept {
        return epoch_s + dsp::frame_time_s(static_cast<std::size_t>(std::max<FrameIndex>(0, frame)));
    }

    double rate_hz;
    dsp::Resampler resampler;
    dsp::SpectrumStream spectra;
    dsp::NoiseFloor floor;
    FrameHistory history;
    WhitenedFrame whitened;
    LevelDetector level;
    ToneDetector tone;
    SpanTracker level_spans_tracker;
    SpanTracker tone_spans_tracker;
    SpanQueue spans;
    SoundMeasures measures;
    SoundMeasures::Result measured;
    FrameIndex shortest; // of a voice that is a sound of its own
    std::vector<float> resampled;

    std::array<Sound, SoundFinder::kQueue> queue{};
    std::size_t queue_first = 0;
    std::size_t queue_count = 0;
    std::uint64_t dropped = 0;
    std::array<Sound, 8> early{};
    std::size_t early_count = 0;

    std::int64_t samples = 0;  // device samples so far, skipped ones included
    double epoch_s = 0.0;      // time of the first sample since the start or the last skip
    FrameIndex detected = 0;   // frames that the detectors have seen in this epoch
    float steady_f0_hz = 0.0F; // of the latest long tone
    FrameIndex steady_until = 0;
    bool pre_rolled = false;
    bool finished = false;
};

void SoundFinder::Parts::take_resampled(std::size_t count) noexcept {
    std::span<const float> rest(resampled.data(), count);
    while (spectra.next(rest)) add_frames();
}

void SoundFinder::Parts::add_frames() noexcept {
    for (std::size_t i = 0; i < spectra.count(); ++i) add_frame(spectra.frame(i), spectra.power(i));
}

void SoundFinder::Parts::add_frame(std::span<const float> frame, std::span<const float> power) noexcept {
    std::ranges::copy(power, history.next_power().begin());
    floor.process(power);
    std::ranges::copy(floor.floor(), history.next_floor().begin());
    Quarters& quarters = history.next_quarters();
    constexpr std::size_t kQuarter = dsp::kHop / 4;
    const float* middle = frame.data() + (dsp::kFrameSize - dsp::kHop) / 2;
    for (std::size_t q = 0; q < quarters.size(); ++q) {
        float sum = 0.0F;
        for (std::size_t i = 0; i < kQuarter; ++i) sum += middle[q * kQuarter + i] * middle[q * kQuarter + i];
        quarters[q] = sum / static_cast<float>(kQuarter);
    }
    history.push();

    if (!pre_rolled && history.count() < kPreRoll) return;
    pre_rolled = true;
    while (detected < history.count()) detect(detected++);
    measure_ready(false);
}

void SoundFinder::Parts::detect(FrameIndex frame) noexcept {
    // While pre-rolling, what is known of the floor by now is better than what was known then.
    const std::span<const float> now = floor.floor();
    const auto power = history.power(frame);
    if (frame + 1 < history.count()) history.replace_floor(frame, now);

    level.process(power, now);
    const FrameIndex level_frame = frame - static_cast<FrameIndex>(LevelDetector::kDelay);
    if (level_frame >= 0) {
        const float excess = level.excess_db();
        if (const auto span = level_spans_tracker.process(level_frame, excess, excess)) {
            dropped += spans.add(*span, FoundBy::kLevel);
        }
    }
    whitened.process(power, now);
    tone.process(whitened);
    if (const auto span = tone_spans_tracker.process(frame, tone.track(), tone.activity())) {
        dropped += spans.add(*span, FoundBy::kTone);
    }
}

// What is under way ends with the frames that are there.
void SoundFinder::Parts::end_epoch() noexcept {
    take_resampled(resampler.finish(resampled));
    if (spectra.flush()) add_frames();
    while (detected < history.count()) detect(detected++);
    if (const auto span = level_spans_tracker.finish()) dropped += spans.add(*span, FoundBy::kLevel);
    if (const auto span = tone_spans_tracker.finish()) dropped += spans.add(*span, FoundBy::kTone);
    measure_ready(true);
}

void SoundFinder::Parts::measure_ready(bool all) noexcept {
    FoundSpan found;
    const FrameIndex open =
        std::min(level_spans_tracker.earliest(detected - static_cast<FrameIndex>(LevelDetector::kDelay)),
                 tone_spans_tracker.earliest(detected));
    while (all ? spans.take(found) : spans.take_settled(open, detected - SoundFrames::kAfter, found)) {
        found.measured_early ? void(measured = found.early) : measures.process(history, found.span, measured);
        const MeasureRow& m = measured.measures;
        const bool steady = steady_and_long(found.span, m);
        if (steady) remember_steady(found.span, m);
        if (steady) continue;
        add_sound(found.span, found.by);
        measure_voice(found.span);
    }
    while (FoundSpan* tone = all ? nullptr : spans.unmeasured_tone(detected - SoundFrames::kAfter)) {
        measures.process(history, tone->span, measured);
        tone->measured_early = true;
        tone->early = measured;
        if (steady_and_long(tone->span, measured.measures)) continue;
        if (early_count < early.size()) early[early_count++] = sound_of(tone->span, FoundBy::kTone);
    }
}

// Puts the sound just measured among those that wait, in order of start.
void SoundFinder::Parts::add_sound(const Span& span, FoundBy by) noexcept {
    if (queue_count == queue.size()) {
        queue_first = (queue_first + 1) % queue.size();
        --queue_count;
        ++dropped;
    }
    const Sound sound = sound_of(span, by);
    std::size_t place = queue_count++;
    const auto at = [this](std::size_t i) -> Sound& { return queue[(queue_first + i) % queue.size()]; };
    for (; place > 0 && at(place - 1).start_s > sound.start_s; --place) at(place) = at(place - 1);
    at(place) = sound;
}

// The sound just measured.
Sound SoundFinder::Parts::sound_of(const Span& span, FoundBy by) const noexcept {
    constexpr double kHalfHop = 0.5 / dsp::kFrameRateHz;
    Sound sound;
    sound.start_s = time_of(span.first) - kHalfHop;
    sound.end_s = time_of(span.last) + kHalfHop;
    sound.known_at_s = time_of(detected) + kHalfHop;
    // Bangs before a call belong to the sound but not to the call.
    const bool voice =
        measured.measures[kVoiceS] >= kLeastVoiceS && measured.measures[kVoiceTone] >= kLeastTone;
    sound.voice_start_s = voice ? time_of(measured.voice.first) - kHalfHop : sound.start_s;
    sound.voice_end_s = voice ? time_of(measured.voice.last) + kHalfHop : sound.end_s;
    sound.found_by = by;
    sound.level_db = measured.level_db;
    sound.f0_hz = measured.measures[kVoiceF0Hz];
    sound.measures = measured.measures;
    sound.impacts = measured.impacts;
    return sound;
}

// A voice in the midst of a longer noise is measured by itself.
void SoundFinder::Parts::measure_voice(const Span& whole) noexcept {
    constexpr FrameIndex kAround = 3;
    Span voice = measured.voice;
    const FrameIndex length = voice.last - voice.first + 1;
    if (length < shortest || 4 * (whole.last - whole.first + 1) <= 5 * length + 16) return;
    voice.first = std::max(whole.first, voice.first - kAround);
    voice.last = std::min(whole.last, voice.last + kAround);
    measures.process(history, voice, measured);
    add_sound(voice, FoundBy::kVoice);
}

// A machine, an alarm, a hiss: animals don't hold still. Once the floor starts to take up a long tone it
// comes in pieces that are no longer long; they go by the pitch of the one before.
bool SoundFinder::Parts::steady_and_long(const Span& span, const MeasureRow& m) const noexcept {
    constexpr float kSamePitch = 0.03F;
    constexpr FrameIndex kFloorTakesUp = 940; // 15 s
    const bool toneless = m[kVoiceShare] < 0.3F;
    const bool level = m[kLevelIqrDb] < 2.0F;
    const bool tone = is_steady_tone(m);
    const bool same = std::abs(m[kVoiceF0Hz] - steady_f0_hz) < kSamePitch * steady_f0_hz;
    const bool just_now = span.first - steady_until < kFloorTakesUp;
    return tone ? span.cut_short || span.continues || (same && just_now)
                : toneless && level && (span.cut_short || span.continues);
}

void SoundFinder::Parts::remember_steady(const Span& span, const MeasureRow& m) noexcept {
    if (!is_steady_tone(m)) return;
    steady_f0_hz = m[kVoiceF0Hz];
    steady_until = span.last;
}

SoundFinder::SoundFinder(double sample_rate_hz, const SegmentSettings& settings) {
    if (const auto wrong = wrong_segments(settings))
        throw std::invalid_argument("segments: expected " + *wrong);
    parts_ = std::make_unique<Parts>(sample_rate_hz, settings);
}

SoundFinder::~SoundFinder() = default;
SoundFinder::SoundFinder(SoundFinder&&) noexcept = default;
SoundFinder& SoundFinder::operator=(SoundFinder&&) noexcept = default;

void SoundFinder::process(std::span<const float> samples) noexcept {
    Parts& p = *parts_;
    p.samples += static_cast<std::int64_t>(samples.size());
    while (!samples.empty()) {
        const auto chunk = samples.first(std::min(samples.size(), kChunk));
        samples = samples.subspan(chunk.size());
        p.take_resampled(p.resampler.process(chunk, p.resampled));
    }
}

void SoundFinder::skip(std::int64_t count) noexcept {
    if (count <= 0) return;
    Parts& p = *parts_;
    p.end_epoch();
    p.samples += count;
    p.epoch_s = static_cast<double>(p.samples) / p.rate_hz;
    p.resampler.reset();
    p.spectra.reset();
    p.history.clear();
    p.level.reset();
    p.tone.reset();
    p.detected = 0;
    p.steady_until = 0;
}

void SoundFinder::finish() noexcept {
    if (std::exchange(parts_->finished, true)) return;
    parts_->end_epoch();
}

bool SoundFinder::take(Sound& out) noexcept {
    Parts& p = *parts_;
    if (p.queue_count == 0) return false;
    // A voice may be a later sound than what is still to be measured.
    if (p.queue[p.queue_first].start_s > settled_until_s()) return false;
    out = p.queue[p.queue_first];
    p.queue_first = (p.queue_first + 1) % p.queue.size();
    --p.queue_count;
    return true;
}

bool SoundFinder::take_early(Sound& out) noexcept {
    Parts& p = *parts_;
    if (p.early_count == 0) return false;
    out = p.early[0];
    std::copy(p.early.begin() + 1, p.early.begin() + static_cast<std::ptrdiff_t>(p.early_count),
              p.early.begin());
    --p.early_count;
    return true;
}

double SoundFinder::settled_until_s() const noexcept {
    const Parts& p = *parts_;
    if (p.finished) return static_cast<double>(p.samples) / p.rate_hz;
    const FrameIndex open =
        std::min(p.level_spans_tracker.earliest(p.detected - static_cast<FrameIndex>(LevelDetector::kDelay)),
                 p.tone_spans_tracker.earliest(p.detected));
    // The frame's start, not its middle: half a frame to be safe.
    const FrameIndex first = std::max<FrameIndex>(0, p.spans.earliest(open));
    return p.epoch_s + static_cast<double>(first) / dsp::kFrameRateHz;
}

std::uint64_t SoundFinder::dropped() const noexcept {
    return parts_->dropped;
}

} // namespace quietpass
