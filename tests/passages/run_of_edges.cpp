#include "tests/passages/run_of_edges.h"

#include <cmath>
#include <sstream>
#include <stdexcept>

namespace quietpass {

std::vector<Edge> edges_from(std::string_view words) {
    std::istringstream in{std::string(words)};
    std::vector<Edge> edges;
    std::string word;
    double time_s = 0.0;
    while (in >> word >> time_s) {
        const bool closed = word.front() != '-';
        const auto role = role_from(std::string_view(word).substr(closed ? 0 : 1));
        if (!role) throw std::runtime_error("no such role: " + word);
        edges.push_back({time_s, *role, closed});
    }
    return edges;
}

void drain(Cycle& cycle, Outcome& outcome) {
    Passage passage;
    while (cycle.take_closed(passage)) outcome.passages.push_back(passage);
    Edge edge;
    const char* why = nullptr;
    while (cycle.take_stray(edge, why)) outcome.strays.emplace_back(edge, why);
    double start_s = 0.0, end_s = 0.0;
    while (cycle.take_stop(start_s, end_s)) outcome.stops.emplace_back(start_s, end_s);
}

std::string passage_line(const Passage& passage) {
    std::ostringstream out;
    out << passage.id << ": " << passage.entered_s;
    const auto time = [&](const char* word, double time_s) {
        if (!std::isnan(time_s)) out << ' ' << word << ' ' << time_s;
    };
    time("body_held", passage.body_held_s);
    time("held", passage.held_s);
    time("stunned", passage.stunned_s);
    if (passage.stuns > 1) out << " stuns " << passage.stuns;
    if (passage.prods > 0) out << " prods " << passage.prods;
    time("released", passage.released_s);
    out << " end " << passage.end_s;
    for (std::size_t i = 0; i < passage.flags.size(); ++i) out << (i == 0 ? " [" : " ") << passage.flags[i];
    if (!passage.flags.empty()) out << ']';
    if (!passage.excluded.empty()) out << " !" << passage.excluded;
    return out.str();
}

std::vector<std::string> lines_of(const Outcome& outcome) {
    std::vector<std::string> lines;
    for (const Passage& passage : outcome.passages) lines.push_back(passage_line(passage));
    return lines;
}

std::vector<std::string> stray_lines_of(const Outcome& outcome) {
    std::vector<std::string> lines;
    for (const auto& [edge, why] : outcome.strays) {
        std::ostringstream out;
        out << name_of(edge.role) << ' ' << edge.time_s << ": " << why;
        lines.push_back(out.str());
    }
    return lines;
}

Outcome outcome_of(const RestraintSettings& settings, std::span<const Role> wired, std::string_view words,
                   double end_s) {
    Cycle cycle(settings, wired);
    for (const Edge& edge : edges_from(words)) cycle.take(edge);
    cycle.finish(end_s);
    Outcome outcome;
    drain(cycle, outcome);
    return outcome;
}

std::string placed(const Cycle& cycle, double onset_s, MicrophoneZone zone) {
    const Cycle::Place place = cycle.place(onset_s, zone);
    if (!place.passage_id) return place.reason;
    return std::to_string(*place.passage_id) + " " + std::string(name_of(*place.phase));
}

} // namespace quietpass
