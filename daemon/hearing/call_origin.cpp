#include "daemon/hearing/call_origin.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace quietpass {

namespace {

constexpr double kSpeedOfSound_m_s = 343.0; // dry air at 20 °C; common practice
constexpr double kSlack_m = 0.5;            // of the positions given

} // namespace

double waiting_delays_below_s(const MicrophonePair& pair) {
    const double middle_m = 0.5 * (pair.near_m + pair.far_m);
    const double border_m = std::max(middle_m + pair.limits.beyond_middle_m, pair.entrance_m);
    // From an animal between the two: (far − x) − (x − near).
    return (pair.far_m + pair.near_m - 2.0 * border_m) / kSpeedOfSound_m_s;
}

double longest_delay_s(const MicrophonePair& pair) {
    return (pair.far_m - pair.near_m + kSlack_m) / kSpeedOfSound_m_s;
}

OriginJudgement judge_origin(const MicrophonePair& pair, const OriginEvidence& e) {
    const WhoseCallSettings& limits = pair.limits;
    const double louder_db = std::min(e.louder_db, e.clearer_db);
    const auto surely = [&](double height, double rival) {
        return e.has_delay && height > limits.delay_over_noise * e.spread &&
               height > limits.delay_over_rival * rival;
    };
    const bool earlier = surely(e.waiting_height, e.restraint_height);
    const bool later = surely(e.restraint_height, e.waiting_height);
    const double far_share = std::clamp(-e.waiting_delay_s / longest_delay_s(pair), 0.0, 1.0);
    const double to_far_db = limits.louder_at_far_db - limits.louder_at_entrance_db;
    const double needed_db =
        earlier ? limits.louder_at_entrance_db + far_share * to_far_db : limits.louder_alone_db;

    OriginJudgement judgement;
    judgement.louder_db = e.louder_db;
    judgement.by_delay = later || earlier;
    judgement.delay_s = later ? e.restraint_delay_s : e.waiting_delay_s;
    if (!later && louder_db > needed_db) {
        judgement.origin = Origin::kWaiting;
    } else if (later || (!earlier && std::max(e.louder_db, e.clearer_db) < 0.0)) {
        judgement.origin = Origin::kRestraint;
    }
    return judgement;
}

std::string words_of(const OriginJudgement& judgement, const std::string& near, const std::string& far) {
    if (judgement.origin == Origin::kUnknown) return "";
    const bool waiting = judgement.origin == Origin::kWaiting;
    const double louder_db = waiting ? judgement.louder_db : -judgement.louder_db;
    char text[96];
    int length = std::snprintf(text, sizeof text, "%.1f dB %s", std::abs(louder_db),
                               louder_db < 0.0 ? "softer" : "louder");
    if (judgement.by_delay) {
        const double earlier_s = waiting ? -judgement.delay_s : judgement.delay_s;
        std::snprintf(text + length, sizeof text - static_cast<std::size_t>(length), " and %.1f ms %s",
                      1000.0 * std::abs(earlier_s), earlier_s < 0.0 ? "later" : "earlier");
    }
    return std::string(text) + " at " + (waiting ? far : near) + " than at " + (waiting ? near : far);
}

} // namespace quietpass
