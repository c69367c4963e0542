#include "tests/scenario/cue_sheet.h"

#include <algorithm>
#include <cmath>

#include "daemon/failure.h"
#include "tests/scenario/made_sound.h"
#include "tests/scenario/random.h"
#include "tests/scenario/sound_path.h"

namespace quietpass::scenario {

namespace {

constexpr double kBetweenCalls_s = 1.2; // so that two calls are not heard as one
constexpr int kTries = 400;
constexpr int kPhaseTries = 12;
constexpr double kCommonSound_s = 2.0;

class CueSheet {
  public:
    CueSheet(const Scenario& scenario, PassageTimes& times, RecordingShelf& shelf)
        : scenario_(scenario),
          times_(times),
          shelf_(shelf),
          which_(scenario.seed, "which passages"),
          calls_(scenario.seed, "calls"),
          grunts_(scenario.seed, "grunts"),
          waiting_(scenario.seed, "waiting") {
        for (const TruePassage& p : times.passages) {
            for (const double border :
                 {p.entered_s, p.body_held_s, p.held_s, p.stunned_s - scenario.at_stun_s,
                  p.stunned_s + scenario.at_stun_s, p.released_s}) {
                borders_.push_back(border);
            }
            if (p.stuns() == 2) {
                borders_.push_back(p.second_stun_s - scenario.at_stun_s);
                borders_.push_back(p.second_stun_s + scenario.at_stun_s);
            }
        }
        std::sort(borders_.begin(), borders_.end());
    }

    std::vector<Cue> make() {
        asked_calls();
        vocal_passages();
        after_stun_calls();
        grunts();
        waiting_calls();
        for (std::size_t i = 0; i < scenario_.disturbances.size(); ++i) disturb(scenario_.disturbances[i], i);
        std::stable_sort(cues_.begin(), cues_.end(),
                         [](const Cue& a, const Cue& b) { return a.start_s < b.start_s; });
        return std::move(cues_);
    }

  private:
    Span span_of(const TruePassage& p, Phase phase) const {
        switch (phase) {
            case Phase::kEntry:
                return {p.entered_s, p.body_held_s};
            case Phase::kBodyHeld:
                return {p.body_held_s, p.held_s};
            case Phase::kHeld:
                return {p.held_s, p.stunned_s - scenario_.at_stun_s};
            // A cry that the stun brings follows it.
            case Phase::kAtStun:
                return {p.stunned_s - scenario_.border_clear_s + 0.02, p.stunned_s + scenario_.at_stun_s};
            case Phase::kAfterStun:
                return {p.stunned_s + scenario_.at_stun_s, p.released_s};
        }
        return {};
    }

    bool is_clear(double start_s, double length_s) const {
        const auto next = std::lower_bound(borders_.begin(), borders_.end(), start_s);
        if (next != borders_.end() && *next - start_s < scenario_.border_clear_s) return false;
        if (next != borders_.begin() && start_s - *std::prev(next) < scenario_.border_clear_s) return false;
        if (start_s < 0.0 || start_s + length_s > times_.length_s) return false;
        return std::none_of(taken_.begin(), taken_.end(), [&](const Span& other) {
            return start_s < other.end_s + kBetweenCalls_s &&
                   other.start_s < start_s + length_s + kBetweenCalls_s;
        });
    }

    std::optional<double> place(const TruePassage& p, Phase phase, double length_s, Random& random,
                                std::optional<double> into_phase) const {
        const Span span = span_of(p, phase);
        const double first = span.start_s + scenario_.border_clear_s;
        const double last = span.end_s - scenario_.border_clear_s;
        for (int tries = 0; tries < kTries && first <= last; ++tries) {
            const double share = into_phase && tries == 0 ? *into_phase : random.uniform();
            const double start = on_grid(first + share * (last - first));
            if (is_clear(start, length_s)) return start;
        }
        return std::nullopt;
    }

    Cue sung(CueKind kind, const Clip& clip, double level_db, Random& random) const {
        Cue cue;
        cue.kind = kind;
        cue.clip = &clip;
        cue.part = clip.parts[random.index(clip.parts.size())];
        cue.recording = clip.recording;
        cue.level_db = level_db;
        return cue;
    }

    void put(Cue cue, double start_s, const std::string& sound_class, TruePassage* p,
             const std::string& phase) {
        cue.start_s = start_s;
        cue.end_s = start_s + cue.part.length_s();
        cue.sound_class = sound_class;
        cue.phase = phase;
        cue.passage = p == nullptr ? 0 : p->number;
        if (cue.counted) ++p->calls;
        taken_.push_back({cue.start_s, cue.end_s});
        cues_.push_back(std::move(cue));
    }

    bool counts(Phase phase) const {
        return phase != Phase::kAfterStun && scenario_.species != Species::kSheep;
    }

    double drawn_snr() { return calls_.normal(scenario_.calls.snr_db, scenario_.calls.snr_sd_db); }

    bool call_in(TruePassage& p, Phase phase, const Clip& clip, double snr_db,
                 std::optional<double> into_phase) {
        Cue cue = sung(CueKind::kCall, clip, snr_db, calls_);
        const std::optional<double> start = place(p, phase, cue.part.length_s(), calls_, into_phase);
        if (!start) return false;
        cue.counted = counts(phase);
        if (scenario_.calls.entry_from_m > 0.0) cue.place_m = place_of(p, *start);
        put(cue, *start, scenario_.calls.recordings_class, &p, std::string(name_of(phase)));
        return true;
    }

    // The animal walks in evenly.
    double place_of(const TruePassage& p, double time_s) const {
        const double walked = (time_s - p.entered_s) / (p.body_held_s - p.entered_s);
        return scenario_.calls.entry_from_m * std::clamp(1.0 - walked, 0.0, 1.0);
    }

    [[noreturn]] void no_room(const TruePassage& p, const std::string& where) const {
        throw Failure(kExitUsage, scenario_.file + ":1: calls: no room for a call in passage " +
                                      std::to_string(p.number) + " (" + where +
                                      "): make the cycle longer or border_clear_s smaller");
    }

    void asked_calls() {
        const std::string& sound_class = scenario_.calls.recordings_class;
        for (const AskedPassage& asked : scenario_.asked) {
            TruePassage& p = times_.passages[static_cast<std::size_t>(asked.number - 1)];
            for (const AskedCall& call : asked.calls) {
                const Clip& clip = call.recording.empty() ? shelf_.draw(sound_class, calls_)
                                                          : shelf_.find(sound_class, call.recording);
                const double snr_db = call.snr_db ? *call.snr_db : drawn_snr();
                if (!call_in(p, call.phase, clip, snr_db, call.into_phase)) {
                    no_room(p, std::string(name_of(call.phase)));
                }
            }
        }
    }

    // Does it to this share of the passages, beside those that the file speaks of; where there is no room, to
    // another. False when it could not be done that often.
    template <typename Deed>
    bool in_some_passages(double share, Deed deed) {
        std::vector<std::size_t> all;
        for (std::size_t i = 0; i < times_.passages.size(); ++i) {
            const bool is_asked =
                std::any_of(scenario_.asked.begin(), scenario_.asked.end(),
                            [&](const auto& asked) { return asked.number == times_.passages[i].number; });
            if (!is_asked) all.push_back(i);
        }
        which_.shuffle(all);
        const double share_of_all = std::round(share * static_cast<double>(times_.passages.size()));
        std::size_t wanted = std::min(all.size(), static_cast<std::size_t>(share_of_all));
        for (std::size_t i = 0; i < all.size() && wanted > 0; ++i) {
            if (deed(times_.passages[all[i]])) --wanted;
        }
        return wanted == 0;
    }

    [[noreturn]] void too_few(const std::string& key) const {
        throw Failure(kExitUsage,
                      scenario_.file + ":1: " + key +
                          ": too few passages have room for a call: lower it, make the cycle longer or "
                          "border_clear_s smaller");
    }

    void vocal_passages() {
        std::vector<Phase> phases;
        std::vector<double> weights;
        for (const auto& [phase, weight] : scenario_.calls.phase_weights) {
            phases.push_back(phase);
            weights.push_back(weight);
        }
        const bool done = in_some_passages(scenario_.calls.vocal_share, [&](TruePassage& p) {
            const std::size_t wanted = 1 + calls_.weighted(scenario_.calls.number_weights);
            for (std::size_t n = 0; n < wanted; ++n) {
                const Clip& clip = shelf_.draw(scenario_.calls.recordings_class, calls_);
                const double snr_db = drawn_snr();
                bool put_in = false;
                for (int tries = 0; tries < kPhaseTries && !put_in; ++tries) {
                    put_in = call_in(p, phases[calls_.weighted(weights)], clip, snr_db, std::nullopt);
                }
                if (!put_in) break; // a second call may find no room left
            }
            return p.vocal() || scenario_.species == Species::kSheep;
        });
        if (!done) too_few("calls.vocal_share");
    }

    void after_stun_calls() {
        const bool done = in_some_passages(scenario_.calls.after_stun_share, [&](TruePassage& p) {
            const Clip& clip = shelf_.draw(scenario_.calls.recordings_class, calls_);
            return call_in(p, Phase::kAfterStun, clip, drawn_snr(), std::nullopt);
        });
        if (!done) too_few("calls.after_stun_share");
    }

    void grunts() {
        in_some_passages(scenario_.grunts.share, [&](TruePassage& p) {
            const Cue cue =
                sung(CueKind::kGrunt, shelf_.draw("pig_grunt", grunts_), scenario_.grunts.snr_db, grunts_);
            for (const Phase phase : {Phase::kHeld, Phase::kEntry, Phase::kBodyHeld, Phase::kAfterStun}) {
                const auto start = place(p, phase, cue.part.length_s(), grunts_, std::nullopt);
                if (!start) continue;
                put(cue, *start, "pig_grunt", &p, std::string(name_of(phase)));
                return true;
            }
            return false;
        });
    }

    // The signal-to-noise ratio on the first microphone of a call that is as loud at the mouth as those that
    // count: softer by distance, louder by the hall.
    double as_loud_as_calls_db(const Cue& cue) const {
        const MicrophoneScene& first = scenario_.microphones.front();
        const double far_m = distance_m(first, cue);
        const auto hall = [&](double wet_db) {
            return 10.0 * std::log10(1.0 + std::pow(10.0, wet_db / 10.0));
        };
        return scenario_.calls.snr_db + 20.0 * std::log10(first.distance_m / far_m) +
               hall(wet_db(scenario_, cue)) - hall(scenario_.room.near_wet_db);
    }

    bool is_empty_from(double start_s, double length_s) const {
        return std::none_of(times_.passages.begin(), times_.passages.end(), [&](const TruePassage& p) {
            return start_s + length_s >= p.entered_s && start_s < p.released_s;
        });
    }

    void waiting_calls() {
        const WaitingSettings& w = scenario_.waiting;
        const int wanted = w.count + static_cast<int>(std::lround(w.per_hour * times_.length_s / 3600.0));
        for (int n = 0; n < wanted; ++n) {
            Cue cue = sung(CueKind::kWaiting, shelf_.draw(scenario_.calls.recordings_class, waiting_),
                           w.snr_db, waiting_);
            if (w.nearest_m > 0.0) cue.place_m = waiting_.uniform(w.nearest_m, w.farthest_m);
            if (w.like_calls) cue.level_db += as_loud_as_calls_db(cue);
            for (int tries = 0; tries < kTries; ++tries) {
                const double start = on_grid(waiting_.uniform(0.5, times_.length_s - 0.5));
                if (!is_clear(start, cue.part.length_s())) continue;
                if (w.only_when_empty && !is_empty_from(start, cue.part.length_s())) continue;
                put(cue, start, scenario_.calls.recordings_class, nullptr, "waiting");
                break;
            }
        }
    }

    std::vector<std::pair<double, int>> moments_of(const TruePassage& p, std::size_t i, Role role) const {
        switch (role) {
            case Role::kEntered:
                return {{p.entered_s, p.number}};
            case Role::kBodyHeld:
                return {{p.body_held_s, p.number}};
            case Role::kHeld:
                return {{p.held_s, p.number}};
            case Role::kReleased:
                return {{p.released_s, p.number}};
            case Role::kStunned:
            case Role::kCut:
                if (p.stuns() == 2) return {{p.stunned_s, p.number}, {p.second_stun_s, p.number}};
                return {{p.stunned_s, p.number}};
            case Role::kProdded: {
                std::vector<std::pair<double, int>> moments;
                for (const double prod : times_.prods_s[i]) moments.emplace_back(prod, p.number);
                return moments;
            }
            case Role::kStopped:
                break;
        }
        return {};
    }

    // A random moment at least clear_s (before a call: and a sound of common length) away from every call;
    // any moment where that can't be.
    double away_from_calls(double clear_s, Random& random) const {
        double moment = 0.0;
        for (int tries = 0; tries < kTries; ++tries) {
            moment = random.uniform(0.0, times_.length_s);
            const bool near = std::any_of(taken_.begin(), taken_.end(), [&](const Span& call) {
                return moment > call.start_s - clear_s - kCommonSound_s && moment < call.end_s + clear_s;
            });
            if (clear_s <= 0.0 || !near) break;
        }
        return moment;
    }

    void disturb(const Disturbance& d, std::size_t number) {
        Random random(scenario_.seed, "disturbance " + std::to_string(number) + d.recordings_class + d.made);
        std::vector<std::pair<double, int>> moments;
        if (d.at) {
            for (std::size_t i = 0; i < times_.passages.size(); ++i) {
                for (const auto& moment : moments_of(times_.passages[i], i, *d.at)) {
                    if (random.chance(d.share)) moments.push_back(moment);
                }
            }
        } else {
            const long wanted = std::lround(d.per_hour * times_.length_s / 3600.0);
            for (long n = 0; n < wanted; ++n) {
                moments.emplace_back(away_from_calls(d.clear_of_calls_s, random), 0);
            }
        }
        const std::string made = !d.made.empty()                  ? d.made
                                 : shelf_.has(d.recordings_class) ? std::string()
                                                                  : made_instead_of(d.recordings_class);
        const MicrophoneScene& first = scenario_.microphones.front();
        for (const auto& [moment, passage] : moments) {
            Cue cue;
            double length_s = 0.0;
            if (made.empty()) {
                cue = sung(CueKind::kDisturbance, shelf_.draw(d.recordings_class, random), 0.0, random);
                cue.sound_class = d.recordings_class;
                length_s = cue.part.length_s();
            } else {
                cue.kind = CueKind::kDisturbance;
                cue.sound_class = made;
                cue.made_seed = random.bits();
                length_s = made_length_s(made, cue.made_seed);
            }
            cue.start_s = on_grid(moment + d.delay_s + std::abs(random.normal(0.0, d.jitter_s)));
            cue.end_s = cue.start_s + length_s;
            cue.level_db = random.normal(d.level_db, d.level_sd_db);
            cue.distance_m = d.distance_m;
            if (first.up_race_m) {
                const double along_m = std::sqrt(
                    std::max(0.0, d.distance_m * d.distance_m - first.off_race_m * first.off_race_m));
                cue.place_m = *first.up_race_m + (random.chance(0.5) ? along_m : -along_m);
            }
            cue.passage = passage;
            if (cue.start_s >= 0.0 && cue.end_s <= times_.length_s) cues_.push_back(cue);
        }
    }

    const Scenario& scenario_;
    PassageTimes& times_;
    RecordingShelf& shelf_;
    Random which_, calls_, grunts_, waiting_;
    std::vector<double> borders_;
    std::vector<Span> taken_;
    std::vector<Cue> cues_;
};

} // namespace

std::vector<Cue> make_cues(const Scenario& scenario, PassageTimes& times, RecordingShelf& shelf) {
    return CueSheet(scenario, times, shelf).make();
}

} // namespace quietpass::scenario
