#include "daemon/station/origin_tracer.h"

#include <algorithm>
#include <utility>

#include "dsp/analysis.h"

namespace quietpass {

OriginTracer::OriginTracer(const StationSettings& settings, const SegmentSettings* band,
                           std::vector<StationMicrophone>& microphones, double kept_s)
    : microphones_(microphones) {
    if (band == nullptr) return;
    for (const MicrophonePair& pair : separating_pairs(settings)) {
        tellers_.push_back({pair, OriginFinder(pair, band->low_hz, band->high_hz), {}, {}});
        for (const std::size_t index : {pair.near, pair.far}) microphones_[index].keep_sound(kept_s);
    }
}

// The likeliest to be a waiting animal's is asked first: each microphone up the race has its own view.
std::optional<TracedOrigin> OriginTracer::trace(const HeardCall& heard, std::size_t microphone) {
    std::optional<TracedOrigin> told;
    for (Teller& teller : tellers_) {
        const auto traced = ask(teller, heard, microphone);
        if (traced && (!told || traced->judgement.origin > told->judgement.origin)) told = traced;
    }
    return told;
}

std::optional<TracedOrigin> OriginTracer::ask(Teller& teller, const HeardCall& heard,
                                              std::size_t microphone) {
    StationMicrophone& near = microphones_[teller.pair.near];
    StationMicrophone& far = microphones_[teller.pair.far];
    const double from_s = std::max({heard.start_s - kLead_s, near.memory()->kept_from_s() + near.offset_s,
                                    far.memory()->kept_from_s() + far.offset_s});
    const double to_s = std::min({heard.end_s, near.heard_until_s(), far.heard_until_s()});
    if (from_s >= heard.start_s ||
        !near.memory()->excerpt(from_s - near.offset_s, to_s - near.offset_s, teller.near) ||
        !far.memory()->excerpt(from_s - far.offset_s, to_s - far.offset_s, teller.far)) {
        return std::nullopt;
    }
    const std::size_t count = std::min(teller.near.size(), teller.far.size());
    const auto lead = static_cast<std::size_t>((heard.start_s - from_s) * dsp::kAnalysisRateHz);
    const auto evidence =
        teller.finder.measure(std::span(teller.near).first(count), std::span(teller.far).first(count), lead,
                              microphone == teller.pair.near  ? OriginFinder::HeardAt::kNear
                              : microphone == teller.pair.far ? OriginFinder::HeardAt::kFar
                                                              : OriginFinder::HeardAt::kEither,
                              heard.f0_hz);
    if (!evidence) return std::nullopt;
    TracedOrigin traced{judge_origin(teller.pair, *evidence), teller.pair.near, teller.pair.far,
                        std::nullopt};
    if (microphone == traced.near) traced.clear_db = evidence->near_clear_db;
    if (microphone == traced.far) traced.clear_db = evidence->far_clear_db;
    return traced;
}

std::string OriginTracer::words(const MicrophoneCall& call) const {
    if (!call.origin) return "";
    return words_of(call.origin->judgement, microphones_[call.origin->near].settings().name,
                    microphones_[call.origin->far].settings().name);
}

bool OriginTracer::only_up_the_race(const MicrophoneCall& call) const {
    if (call.origin && call.origin->judgement.origin == Origin::kRestraint) return false;
    return std::all_of(call.heard_at.begin(), call.heard_at.end(),
                       [&](std::size_t microphone) { return is_up_the_race(microphone); });
}

bool OriginTracer::is_up_the_race(std::size_t microphone) const {
    return std::any_of(tellers_.begin(), tellers_.end(),
                       [&](const Teller& teller) { return teller.pair.far == microphone; });
}

void OriginTracer::forget_before(double needed_s) {
    for (StationMicrophone& microphone : microphones_) {
        if (SoundMemory* memory = microphone.memory()) {
            memory->forget_before(needed_s - kLead_s - 1.0 - microphone.offset_s);
        }
    }
}

} // namespace quietpass
