#include "classifiers/noise_list.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {
constexpr double kOnset_s = 0.05; // frames hold a call's onset a little early
}

void NoiseList::add(const Sound& sound, bool is_call) noexcept {
    if (is_call) {
        voices_[next_voice_++ % voices_.size()] = {sound.voice_start_s, sound.voice_end_s};
    } else if (!may_hold_bangs(rules_, sound.measures)) {
        return;
    }
    for (const Impact& impact : std::span(sound.impacts.list).first(sound.impacts.count)) {
        const double at_s = sound.start_s + static_cast<double>(impact.after_s);
        if (!is_bang(rules_, impact) || (is_call && at_s >= sound.voice_start_s - kOnset_s)) continue;
        put({at_s, at_s, NoiseKind::kBang, impact.level_db});
    }
    if (!is_call && sound.found_by == FoundBy::kLevel && is_hiss(rules_, sound.measures)) {
        put({sound.start_s, sound.end_s, NoiseKind::kHiss, sound.level_db});
    }
}

void NoiseList::put(const HeardNoise& noise) noexcept {
    for (HeardNoise& other : std::span(open_).first(open_count_)) {
        if (other.kind != noise.kind || std::abs(other.start_s - noise.start_s) >= kSame_s) continue;
        other.level_db = std::max(other.level_db, noise.level_db);
        other.end_s = std::max(other.end_s, noise.end_s);
        return;
    }
    if (open_count_ == kMost) return;
    std::size_t place = open_count_++;
    for (; place > 0 && open_[place - 1].start_s > noise.start_s; --place) open_[place] = open_[place - 1];
    open_[place] = noise;
}

bool NoiseList::is_a_voice(const HeardNoise& noise) const noexcept {
    return std::any_of(voices_.begin(), voices_.end(), [&](const Voice& voice) {
        const double shared_s =
            std::min(voice.end_s, noise.end_s) - std::max(voice.start_s - kOnset_s, noise.start_s);
        return noise.kind == NoiseKind::kBang ? shared_s >= 0.0
                                              : shared_s > 0.5 * (noise.end_s - noise.start_s);
    });
}

void NoiseList::release(double settled_s) noexcept {
    std::size_t gone = 0;
    for (; gone < open_count_ && open_[gone].start_s + kSame_s < settled_s; ++gone) {
        if (is_a_voice(open_[gone]) || ready_count_ == kMost) continue;
        ready_[(ready_first_ + ready_count_++) % kMost] = open_[gone];
    }
    std::copy(open_.begin() + static_cast<std::ptrdiff_t>(gone),
              open_.begin() + static_cast<std::ptrdiff_t>(open_count_), open_.begin());
    open_count_ -= gone;
}

bool NoiseList::take(HeardNoise& out) noexcept {
    if (ready_count_ == 0) return false;
    out = ready_[ready_first_];
    ready_first_ = (ready_first_ + 1) % kMost;
    --ready_count_;
    return true;
}

double NoiseList::settled_until_s(double settled_s) const noexcept {
    if (ready_count_ > 0) return std::min(settled_s - kSame_s, ready_[ready_first_].start_s);
    return settled_s - kSame_s;
}

} // namespace quietpass
