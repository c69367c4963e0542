#include "daemon/capture/loss_finder.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace quietpass {

namespace {

constexpr double kLateS = 0.050;
// How long lateness must last to be a loss: nobody told of it, or somebody did and only the size is asked.
constexpr double kLateForS = 5.0;
constexpr double kFlaggedForS = 1.0;
constexpr std::size_t kLateForPackets = 16;
constexpr std::size_t kFlaggedForPackets = 4;
// Samples this much fresher than the losses told so far may still arrive from a device that comes back.
constexpr double kBehindS = 0.5;
constexpr double kTellEveryS = 0.5;

bool finite_frame(const float* frame, std::size_t channels) {
    return std::all_of(frame, frame + channels, [](float sample) { return std::isfinite(sample); });
}

} // namespace

LossFinder::LossFinder(double rate_hz, int channels)
    : rate_hz_(rate_hz), channels_(static_cast<std::size_t>(channels)), fit_(rate_hz) {}

double LossFinder::lateness_of(const CapturedPacket& packet, std::int64_t frames_before) const {
    return fit_.lateness_s(frames_before + packet.dropped_before + packet.frames, packet.stamp_ns);
}

void LossFinder::take(CapturedPacket&& packet) {
    if (doubt_ != Doubt::kNone) {
        if (packet.overflowed) {
            // The doubt so far is settled by what came until now, so that each hole has its own place; mere
            // lateness before a flag was the burst that led to it.
            if (doubt_ == Doubt::kLate) least_late_s_ = 0.0;
            release_held();
        } else {
            hold(std::move(packet), doubt_);
            settle_if_clear();
            return;
        }
    }
    const bool reopened = std::exchange(reopened_, false);
    if (!fit_.started()) {
        pass(packet);
    } else if (reopened) {
        hold(std::move(packet), Doubt::kReopened);
    } else if (packet.overflowed) {
        hold(std::move(packet), Doubt::kFlagged);
    } else if (lateness_of(packet, index_) > kLateS) {
        hold(std::move(packet), Doubt::kLate);
    } else {
        pass(packet);
    }
}

void LossFinder::hold(CapturedPacket&& packet, Doubt doubt) {
    const double late_s = lateness_of(packet, index_ + held_frames_);
    least_late_s_ = held_.empty() ? late_s : std::min(least_late_s_, late_s);
    if (held_.empty() || late_s < steady_late_s_ - kLateS) {
        steady_late_s_ = late_s;
        steady_frames_ = held_frames_;
        steady_packets_ = held_.size();
        steady_stamp_ns_ = packet.stamp_ns;
    }
    held_frames_ += packet.dropped_before + packet.frames;
    held_.push_back(std::move(packet));
    doubt_ = doubt;
}

void LossFinder::settle_if_clear() {
    // By samples and by the clock: what waited in some buffer comes in no time.
    const double steady_s = std::min(static_cast<double>(held_frames_ - steady_frames_) / rate_hz_,
                                     static_cast<double>(held_.back().stamp_ns - steady_stamp_ns_) * 1e-9);
    const std::size_t packets = held_.size() - steady_packets_;
    if (doubt_ == Doubt::kLate) {
        if (least_late_s_ <= kLateS || (steady_s >= kLateForS && packets >= kLateForPackets)) release_held();
    } else if (steady_s >= kFlaggedForS && packets >= kFlaggedForPackets) {
        release_held();
    }
}

void LossFinder::release_held() {
    const Doubt doubt = std::exchange(doubt_, Doubt::kNone);
    const auto missing = static_cast<std::int64_t>(std::llround(least_late_s_ * rate_hz_));
    std::deque<CapturedPacket> held = std::exchange(held_, {});
    held_frames_ = 0;
    if (held.empty()) return;

    if (doubt == Doubt::kFlagged) {
        emit_loss(std::max<std::int64_t>(missing, 1), GapCause::kOverrun);
    } else if (doubt == Doubt::kReopened && least_late_s_ < -kLateS) {
        // More than can have come since: it waited somewhere, and was told as lost already.
        std::int64_t told = -missing;
        while (!held.empty() && told > 0) {
            told -= held.front().dropped_before + held.front().frames;
            held.pop_front();
        }
        emit_loss(-told, GapCause::kUnplugged);
    } else if (doubt == Doubt::kReopened) {
        emit_loss(std::max<std::int64_t>(missing, 1), GapCause::kUnplugged);
    } else if (least_late_s_ > kLateS) {
        // The burst: packets at the head that came later than the hole explains.
        std::int64_t burst = 0;
        std::int64_t before = index_;
        while (!held.empty() && lateness_of(held.front(), before) > least_late_s_ + kLateS) {
            const std::int64_t frames = held.front().dropped_before + held.front().frames;
            burst += frames;
            before += frames;
            held.pop_front();
        }
        emit_loss(missing + burst, GapCause::kOverrun);
    }
    for (const CapturedPacket& packet : held) pass(packet);
}

void LossFinder::stream_lost() {
    // Whatever is missing is part of the loss that the clock will size when the stream is open again.
    if (doubt_ == Doubt::kLate) least_late_s_ = 0.0;
    release_held();
    reopened_ = true;
}

void LossFinder::lost_until(std::int64_t monotonic_ns) {
    if (!fit_.started() || doubt_ != Doubt::kNone) return;
    const auto until = static_cast<std::int64_t>(fit_.index_at(monotonic_ns) - kBehindS * rate_hz_);
    if (until > index_ + static_cast<std::int64_t>(kTellEveryS * rate_hz_))
        emit_loss(until - index_, GapCause::kUnplugged);
}

void LossFinder::pass(const CapturedPacket& packet) {
    if (packet.dropped_before > 0) emit_loss(packet.dropped_before, GapCause::kOverrun);
    // The stamps of a burst say when somebody got round to it, not when the samples were at the microphone.
    if (!fit_.started() || fit_.lateness_s(index_ + packet.frames, packet.stamp_ns) <= kLateS)
        fit_.add(index_ + packet.frames, packet.stamp_ns);
    std::int64_t run_start = 0;
    bool run_finite = true;
    for (std::int64_t frame = 0; frame <= packet.frames; ++frame) {
        const bool finite =
            frame < packet.frames &&
            finite_frame(packet.samples.data() + static_cast<std::size_t>(frame) * channels_, channels_);
        if (frame < packet.frames && finite == run_finite) continue;
        if (frame > run_start) {
            if (run_finite) {
                emit_samples(packet, run_start, frame - run_start);
            } else {
                emit_loss(frame - run_start, GapCause::kOverrun);
            }
        }
        run_start = frame;
        run_finite = finite;
    }
}

void LossFinder::emit_samples(const CapturedPacket& packet, std::int64_t from, std::int64_t count) {
    Stretch& stretch = ready_.emplace_back();
    stretch.kind = Stretch::Kind::kSamples;
    stretch.first_index = index_;
    stretch.count = count;
    stretch.samples.resize(static_cast<std::size_t>(count) * channels_);
    for (std::size_t channel = 0; channel < channels_; ++channel) {
        const float* in = packet.samples.data() + static_cast<std::size_t>(from) * channels_ + channel;
        float* out = stretch.samples.data() + channel * static_cast<std::size_t>(count);
        for (std::int64_t i = 0; i < count; ++i, in += channels_) out[i] = *in;
    }
    index_ += count;
    heard_ += count;
}

void LossFinder::emit_loss(std::int64_t count, GapCause cause) {
    if (count <= 0) return;
    index_ += count;
    lost_ += count;
    // One hole is told once, however many packets it took.
    if (!ready_.empty() && ready_.back().kind == Stretch::Kind::kLoss && ready_.back().cause == cause) {
        ready_.back().count += count;
        return;
    }
    Stretch& stretch = ready_.emplace_back();
    stretch.kind = Stretch::Kind::kLoss;
    stretch.first_index = index_ - count;
    stretch.count = count;
    stretch.cause = cause;
}

bool LossFinder::next(Stretch& stretch) {
    if (ready_.empty()) return false;
    std::swap(stretch, ready_.front());
    ready_.pop_front();
    return true;
}

} // namespace quietpass
