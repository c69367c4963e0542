#include "tests/scenario/passage_times.h"

#include <algorithm>
#include <cmath>

#include "tests/scenario/random.h"

namespace quietpass::scenario {

namespace {

constexpr double kGateGap_s = 1.5;     // box: from a release to the next entry at the least
constexpr double kSameContact_s = 0.6; // conveyor: between two animals at one contact
constexpr double kPulse_s = 0.2;
constexpr double kProdSpacing_s = 0.35;

void keep_order(TruePassage& next, const TruePassage& before) {
    // A later animal reaches every point after the earlier one: move the rest of its cycle along.
    const auto shift = [&next](double TruePassage::*from, double by) {
        bool reached = false;
        for (double TruePassage::*point :
             {&TruePassage::entered_s, &TruePassage::body_held_s, &TruePassage::held_s,
              &TruePassage::stunned_s, &TruePassage::released_s}) {
            reached = reached || point == from;
            if (reached) next.*point += by;
        }
    };
    for (double TruePassage::*point :
         {&TruePassage::entered_s, &TruePassage::body_held_s, &TruePassage::held_s, &TruePassage::stunned_s,
          &TruePassage::released_s}) {
        const double late = before.*point + kSameContact_s - next.*point;
        if (late > 0.0) shift(point, late);
    }
}

const AskedPassage* asked_of(const Scenario& scenario, int number) {
    for (const AskedPassage& asked : scenario.asked) {
        if (asked.number == number) return &asked;
    }
    return nullptr;
}

struct Stop {
    double at_s;
    double lasts_s;
};

double moved_by(const std::vector<Stop>& stops, double time_s) {
    double sum = 0.0;
    for (const Stop& stop : stops) {
        if (stop.at_s < time_s) sum += stop.lasts_s;
    }
    return sum;
}

void stop_the_line(const Scenario& scenario, PassageTimes& times) {
    std::vector<Stop> stops;
    for (const LineStop& asked : scenario.line_stops) {
        const TruePassage& passage = times.passages[static_cast<std::size_t>(asked.passage - 1)];
        const double at = asked.during ? passage.held_s + 0.4 * (passage.stunned_s - passage.held_s)
                                       : passage.released_s + 0.5 * kGateGap_s;
        stops.push_back({at, asked.lasts_s});
    }
    std::sort(stops.begin(), stops.end(), [](const Stop& a, const Stop& b) { return a.at_s < b.at_s; });
    for (const Stop& stop : stops) {
        const double start = on_grid(stop.at_s + moved_by(stops, stop.at_s));
        times.stops.push_back({start, on_grid(start + stop.lasts_s)});
    }
    const auto move = [&stops](double& time_s) { time_s += moved_by(stops, time_s); };
    for (std::size_t i = 0; i < times.passages.size(); ++i) {
        TruePassage& p = times.passages[i];
        for (double* point : {&p.entered_s, &p.body_held_s, &p.held_s, &p.stunned_s, &p.released_s})
            move(*point);
        if (p.stuns() == 2) move(p.second_stun_s);
        for (double& prod : times.prods_s[i]) move(prod);
        for (const Span& span : times.stops) {
            p.stopped = p.stopped || (span.start_s < p.stunned_s && span.end_s > p.entered_s);
        }
    }
    move(times.length_s);
}

} // namespace

double on_grid(double time_s) {
    return std::round(time_s * 1000.0) / 1000.0;
}

PassageTimes make_passage_times(const Scenario& scenario) {
    Random random(scenario.seed, "passages");
    Random handling(scenario.seed, "handling");
    PassageTimes times;
    const double interval_s = 3600.0 / scenario.line_rate_per_hour;
    double due_s = scenario.lead_in_s;
    for (int number = 1; number <= scenario.passages; ++number) {
        TruePassage p;
        p.number = number;
        p.entered_s = due_s;
        const AskedPassage* asked = asked_of(scenario, number);
        if (!times.passages.empty() && scenario.kind == RestraintKind::kBox) {
            p.entered_s = std::max(due_s, times.passages.back().released_s + kGateGap_s);
        }
        p.body_held_s = p.entered_s + random.draw(scenario.cycle.entered_to_body_held_s);
        p.held_s = p.body_held_s + random.draw(scenario.cycle.body_held_to_held_s);
        p.stunned_s = p.held_s + random.draw(scenario.cycle.held_to_stunned_s);
        p.released_s = p.stunned_s + random.draw(scenario.cycle.stunned_to_released_s);
        if (!times.passages.empty() && scenario.kind == RestraintKind::kConveyor)
            keep_order(p, times.passages.back());

        const bool by_chance = handling.chance(scenario.second_stun_share);
        const double second_after_s = handling.uniform(3.5, 5.0);
        const double after_second_s = handling.uniform(4.0, 6.0);
        if (by_chance || (asked != nullptr && asked->second_stun)) {
            p.second_stun_s = p.stunned_s + second_after_s;
            p.released_s = std::max(p.released_s, p.second_stun_s + after_second_s);
        }
        const bool prodded = handling.chance(scenario.prod_share);
        const int drawn = 1 + static_cast<int>(handling.index(static_cast<std::size_t>(scenario.prods_most)));
        int prods = asked != nullptr ? asked->prods : prodded ? drawn : 0;
        const double entry_s = p.body_held_s - p.entered_s;
        while (prods > 0 && entry_s / (prods + 1) < kProdSpacing_s) --prods;
        p.prods = prods;
        std::vector<double> prods_s;
        for (int i = 1; i <= prods; ++i) prods_s.push_back(p.entered_s + entry_s * i / (prods + 1));

        times.length_s = p.released_s + scenario.lead_out_s;
        times.passages.push_back(p);
        times.prods_s.push_back(prods_s);
        due_s += interval_s * std::clamp(random.normal(1.0, scenario.line_rate_jitter), 0.5, 1.5);
    }
    times.length_s = std::max(times.length_s, scenario.lead_in_s + scenario.lead_out_s);
    stop_the_line(scenario, times);
    for (std::size_t i = 0; i < times.passages.size(); ++i) {
        TruePassage& p = times.passages[i];
        for (double* point :
             {&p.entered_s, &p.body_held_s, &p.held_s, &p.stunned_s, &p.released_s, &p.second_stun_s}) {
            *point = on_grid(*point);
        }
        for (double& prod : times.prods_s[i]) prod = on_grid(prod);
    }
    times.length_s = on_grid(times.length_s);
    return times;
}

std::vector<Edge> make_edges(const Scenario& scenario, const PassageTimes& times) {
    Random random(scenario.seed, "contacts");
    const bool box = scenario.kind == RestraintKind::kBox;
    std::vector<Edge> edges;
    const auto pulse = [&](Role role, double closed_s, double opened_s) {
        const bool bounces =
            random.chance(scenario.bounce_share); // drawn for unwired roles too: wiring moves nothing
        if (!scenario.has(role)) return;
        edges.push_back({closed_s, role, true});
        if (bounces) {
            edges.push_back({on_grid(closed_s + 0.003), role, false});
            edges.push_back({on_grid(closed_s + 0.006), role, true});
        }
        edges.push_back({on_grid(opened_s), role, false});
    };
    for (std::size_t i = 0; i < times.passages.size(); ++i) {
        const TruePassage& p = times.passages[i];
        const auto until = [&](double from_s, double boxed_until_s) {
            return box ? boxed_until_s : from_s + kPulse_s;
        };
        pulse(Role::kEntered, p.entered_s, until(p.entered_s, p.entered_s + 1.0));
        for (const double prod : times.prods_s[i]) pulse(Role::kProdded, prod, prod + kPulse_s);
        pulse(Role::kBodyHeld, p.body_held_s, until(p.body_held_s, p.released_s));
        pulse(Role::kHeld, p.held_s, until(p.held_s, std::min(p.stunned_s + 1.0, p.released_s)));
        pulse(scenario.stun_role(), p.stunned_s, p.stunned_s + kPulse_s);
        if (p.stuns() == 2) pulse(scenario.stun_role(), p.second_stun_s, p.second_stun_s + kPulse_s);
        pulse(Role::kReleased, p.released_s, until(p.released_s, p.released_s + 0.8));
    }
    for (const Span& stop : times.stops) pulse(Role::kStopped, stop.start_s, stop.end_s);
    std::stable_sort(edges.begin(), edges.end(),
                     [](const Edge& a, const Edge& b) { return a.time_s < b.time_s; });
    return edges;
}

} // namespace quietpass::scenario
