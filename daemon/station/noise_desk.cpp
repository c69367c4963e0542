#include "daemon/station/noise_desk.h"

#include <algorithm>
#include <limits>

namespace quietpass {

NoiseDesk::NoiseDesk(const StationSettings& settings, const Cycle& cycle, const OriginTracer& tracer,
                     const std::vector<StationMicrophone>& microphones)
    : settings_(settings.noises),
      head_contact_(settings.has(Role::kHeld)),
      cycle_(cycle),
      tracer_(tracer),
      microphones_(microphones) {}

void NoiseDesk::add(const HeardNoise& noise, std::size_t microphone) {
    const Heard heard{noise, microphone};
    const auto earlier = [](const Heard& a, const Heard& b) {
        return a.noise.start_s < b.noise.start_s ||
               (a.noise.start_s == b.noise.start_s && a.microphone < b.microphone);
    };
    waiting_.insert(std::upper_bound(waiting_.begin(), waiting_.end(), heard, earlier), heard);
    recent_.push_back(heard);
    recent_.back().noise.level_db += microphones_[microphone].sensitivity_db();
}

void NoiseDesk::take(const Edge& edge) {
    if (edge.role == Role::kProdded || edge.role == Role::kStopped) return;
    edges_s_.insert(std::upper_bound(edges_s_.begin(), edges_s_.end(), edge.time_s), edge.time_s);
}

std::optional<double> NoiseDesk::loudest_before(NoiseKind kind, double onset_s) const {
    std::optional<double> loudest_db;
    for (const Heard& heard : recent_) {
        const HeardNoise& noise = heard.noise;
        if (noise.kind != kind || noise.start_s >= onset_s || noise.end_s < onset_s - kBefore_s) continue;
        loudest_db = std::max(noise.level_db, loudest_db.value_or(noise.level_db));
    }
    return loudest_db;
}

void NoiseDesk::settle(double heard_s, double known_s, const std::function<void(const StationNoise&)>& tell) {
    while (!waiting_.empty()) {
        Heard loudest = waiting_.front();
        const double start_s = loudest.noise.start_s;
        if (start_s + kSame_s > heard_s || start_s + settings_.equipment_before_s > known_s ||
            start_s >= cycle_.placeable_until_s()) {
            return;
        }
        std::vector<std::size_t> heard_at;
        std::erase_if(waiting_, [&](const Heard& other) {
            const bool same = other.noise.kind == loudest.noise.kind &&
                              other.noise.start_s < start_s + kSame_s &&
                              std::find(heard_at.begin(), heard_at.end(), other.microphone) == heard_at.end();
            if (!same) return false;
            heard_at.push_back(other.microphone);
            if (other.noise.level_db > loudest.noise.level_db) loudest = other;
            return true;
        });
        loudest.noise.start_s = start_s;
        loudest.noise.end_s = std::max(loudest.noise.end_s, start_s);
        tell(placed(loudest));
    }
}

StationNoise NoiseDesk::placed(const Heard& heard) {
    const StationMicrophone& microphone = microphones_[heard.microphone];
    StationNoise noise;
    noise.microphone = microphone.settings().name;
    noise.heard = heard.noise;
    noise.heard.level_db += microphone.sensitivity_db();
    const double start_s = heard.noise.start_s;
    const auto edge =
        std::lower_bound(edges_s_.begin(), edges_s_.end(), start_s - settings_.equipment_after_s);
    noise.by_equipment = edge != edges_s_.end() && *edge <= start_s + settings_.equipment_before_s;
    if (tracer_.is_up_the_race(heard.microphone)) return noise; // loudest there: nobody's in the restrainer
    const Cycle::Place where = cycle_.place(start_s, microphone.settings().zone);
    if (!where.passage_id) return noise;
    noise.passage_id = where.passage_id;
    noise.passage_entered_s = where.passage_entered_s;
    noise.phase = where.phase;
    const Phase held = head_contact_ ? Phase::kHeld : Phase::kBodyHeld;
    if (noise.heard.kind == NoiseKind::kBang && !noise.by_equipment && noise.phase == held) {
        ++bangs_[*noise.passage_id];
    }
    return noise;
}

double NoiseDesk::earliest_s() const {
    return waiting_.empty() ? std::numeric_limits<double>::infinity() : waiting_.front().noise.start_s;
}

int NoiseDesk::take_bangs(std::int64_t passage_id) {
    const auto found = bangs_.find(passage_id);
    if (found == bangs_.end()) return 0;
    const int bangs = found->second;
    bangs_.erase(found);
    return bangs;
}

void NoiseDesk::forget_before(double time_s) {
    std::erase_if(recent_, [&](const Heard& heard) { return heard.noise.end_s < time_s; });
    while (!edges_s_.empty() && edges_s_.front() < time_s) edges_s_.pop_front();
}

} // namespace quietpass
