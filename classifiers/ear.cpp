#include "classifiers/ear.h"

#include <algorithm>
#include <array>
#include <stdexcept>

#include "classifiers/noise_list.h"
#include "classifiers/scorecard.h"
#include "classifiers/sound_finder.h"

namespace quietpass {

namespace {

struct Passed {
    Sound sound;
    Judgement judgement;
};

// The same stretch may have been found by level and by tone, and a call has pauses: what overlaps is one
// call.
bool overlap(const Passed& a, const Passed& b) {
    return b.sound.start_s < a.sound.end_s && a.sound.start_s < b.sound.end_s;
}

} // namespace

struct Ear::Parts {
    Parts(double sample_rate_hz, const Profile& profile_)
        : profile(profile_), finder(sample_rate_hz, profile_.segments) {}

    void judge_all() noexcept;
    void judge_one() noexcept;
    void tell_first(const Sound& judged, const Judgement& judgement) noexcept;
    void add(const Passed& passed, double found_at_s) noexcept;
    void release(double before_s) noexcept;

    Profile profile;
    SoundFinder finder;
    Sound sound;
    std::array<Passed, 32> open{}; // may still be overlapped by a later one; by start
    std::size_t open_count = 0;
    std::array<Passed, SoundFinder::kQueue> ready{};
    std::size_t ready_first = 0;
    std::size_t ready_count = 0;
    std::array<Passed, 32> first{}; // first words, by when they were known
    std::size_t first_count = 0;
    NoiseList noises;
};

void Ear::Parts::judge_all() noexcept {
    while (finder.take(sound)) judge_one();
    while (finder.take_early(sound)) {
        if (const auto judgement = judge(profile, sound.measures)) tell_first(sound, *judgement);
    }
    release(finder.settled_until_s());
    noises.release(finder.settled_until_s());
}

void Ear::Parts::judge_one() noexcept {
    const auto judgement = judge(profile, sound.measures);
    noises.add(sound, judgement.has_value());
    if (!judgement) return;
    tell_first(sound, *judgement);
    const double found_at_s = sound.start_s;
    sound.start_s = sound.voice_start_s;
    sound.end_s = sound.voice_end_s;
    add({sound, *judgement}, found_at_s);
}

void Ear::Parts::tell_first(const Sound& judged, const Judgement& judgement) noexcept {
    if (first_count == first.size()) {
        std::copy(first.begin() + 1, first.end(), first.begin());
        --first_count;
    }
    const auto later = [](const Passed& a, const Passed& b) {
        return a.sound.known_at_s > b.sound.known_at_s ||
               (a.sound.known_at_s == b.sound.known_at_s && a.sound.voice_start_s > b.sound.voice_start_s);
    };
    std::size_t place = first_count++;
    const Passed passed{judged, judgement};
    for (; place > 0 && later(first[place - 1], passed); --place) first[place] = first[place - 1];
    first[place] = passed;
}

// Sounds come in order of found_at_s; the voice in them may begin later. Of two that overlap the one with
// more points stays. Counted kinds are never merged with those that don't count.
void Ear::Parts::add(const Passed& passed, double found_at_s) noexcept {
    release(found_at_s);
    for (std::size_t i = 0; i < open_count; ++i) {
        Passed& other = open[i];
        if (!overlap(other, passed) || can_count(other.judgement.kind) != can_count(passed.judgement.kind))
            continue;
        const float level_db = std::max(other.sound.level_db, passed.sound.level_db);
        if (passed.judgement.score > other.judgement.score) other = passed;
        other.sound.level_db = level_db;
        return;
    }
    if (open_count == open.size()) release(open[0].sound.end_s);
    std::size_t place = open_count++;
    for (; place > 0 && open[place - 1].sound.start_s > passed.sound.start_s; --place)
        open[place] = open[place - 1];
    open[place] = passed;
}

void Ear::Parts::release(double before_s) noexcept {
    // In order of start: one that has ended waits for those that began before it.
    while (open_count > 0 && open[0].sound.end_s <= before_s) {
        if (ready_count == ready.size()) {
            ready_first = (ready_first + 1) % ready.size();
            --ready_count;
        }
        ready[(ready_first + ready_count++) % ready.size()] = open[0];
        std::copy(open.begin() + 1, open.begin() + static_cast<std::ptrdiff_t>(open_count), open.begin());
        --open_count;
    }
}

Ear::Ear(double sample_rate_hz, const Profile& profile)
    : parts_(std::make_unique<Parts>(sample_rate_hz, profile)) {}
Ear::~Ear() = default;
Ear::Ear(Ear&&) noexcept = default;
Ear& Ear::operator=(Ear&&) noexcept = default;

void Ear::process(std::span<const float> samples) noexcept {
    // Pieces of a second or less, so that the finder's queue can't overflow.
    constexpr std::size_t kPiece = 8000;
    while (!samples.empty()) {
        const auto piece = samples.first(std::min(samples.size(), kPiece));
        samples = samples.subspan(piece.size());
        parts_->finder.process(piece);
        parts_->judge_all();
    }
}

void Ear::skip(std::int64_t count) noexcept {
    parts_->finder.skip(count);
    parts_->judge_all();
}

void Ear::finish() noexcept {
    parts_->finder.finish();
    parts_->judge_all();
    parts_->release(1e300);
    parts_->noises.release(1e300);
}

bool Ear::take(HeardCall& out) {
    Parts& p = *parts_;
    if (p.ready_count == 0) return false;
    const Passed& passed = p.ready[p.ready_first];
    out.start_s = passed.sound.start_s;
    out.end_s = passed.sound.end_s;
    out.kind = passed.judgement.kind;
    out.score = passed.judgement.score;
    out.level_db = passed.sound.level_db;
    out.f0_hz = passed.sound.f0_hz;
    out.reasons = reasons_of(p.profile.cards[passed.judgement.card], passed.sound.measures);
    p.ready_first = (p.ready_first + 1) % p.ready.size();
    --p.ready_count;
    return true;
}

bool Ear::take_first_word(FirstWord& out) {
    Parts& p = *parts_;
    if (p.first_count == 0) return false;
    const Passed& passed = p.first[0];
    out.heard = {.start_s = passed.sound.voice_start_s,
                 .end_s = passed.sound.voice_end_s,
                 .kind = passed.judgement.kind,
                 .score = passed.judgement.score,
                 .level_db = passed.sound.level_db,
                 .f0_hz = passed.sound.f0_hz,
                 .reasons = {}};
    out.known_at_s = passed.sound.known_at_s;
    std::copy(p.first.begin() + 1, p.first.begin() + static_cast<std::ptrdiff_t>(p.first_count),
              p.first.begin());
    --p.first_count;
    return true;
}

bool Ear::take(HeardNoise& out) noexcept {
    return parts_->noises.take(out);
}

double Ear::noises_settled_until_s() const noexcept {
    return parts_->noises.settled_until_s(parts_->finder.settled_until_s());
}

double Ear::settled_until_s() const noexcept {
    const Parts& p = *parts_;
    double settled = p.finder.settled_until_s();
    if (p.open_count > 0) settled = std::min(settled, p.open[0].sound.start_s);
    if (p.ready_count > 0) settled = std::min(settled, p.ready[p.ready_first].sound.start_s);
    return settled;
}

} // namespace quietpass
