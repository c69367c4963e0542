// A box station to test with: its settings, made sound, animals' contacts, and a recorder of what comes out.
// Times in seconds; one microphone at kRate_hz unless said otherwise. Deterministic.
#pragma once

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <limits>
#include <numbers>
#include <random>
#include <span>
#include <sstream>
#include <string>
#include <vector>

#include "classifiers/measures.h"
#include "classifiers/profile.h"
#include "daemon/station.h"

namespace quietpass::testing {

inline constexpr double kRate_hz = 16000.0;

// Every sound with a steady pitch is a moo: these tests are about where a call belongs, not about what a call
// is.
inline Profile every_sound_is_a_moo(CallKind kind = CallKind::kMoo) {
    Profile profile;
    profile.name = "every sound";
    Scorecard card;
    card.kind = kind;
    card.base = 1.0;
    card.gates.push_back({*measure_index("voice_s"), 0.3F, std::numeric_limits<float>::infinity()});
    profile.cards.push_back(card);
    return profile;
}

inline StationSettings box_station() {
    StationSettings settings;
    settings.name = "test box";
    settings.microphones.emplace_back().name = "head";
    settings.restraint.head_holder = true;
    for (const Role role : {Role::kEntered, Role::kHeld, Role::kStunned, Role::kReleased}) {
        ContactSettings contact;
        contact.role = role;
        contact.name = std::string(name_of(role));
        settings.contacts.push_back(contact);
    }
    return settings;
}

struct Recorder : StationEvents {
    void on_call(const StationCall& call) override {
        calls.push_back(call);
        text << "call " << call.id << ' ' << call.microphone << ' ' << call.heard.start_s << ' '
             << call.heard.end_s << ' ' << call.passage_id.value_or(-1) << ' '
             << (call.phase ? name_of(*call.phase) : "-") << ' ' << call.counted << ' ' << call.reason
             << '\n';
    }
    void on_passage(const Passage& passage) override {
        passages.push_back(passage);
        passage_text << passage.id << ' ' << passage.entered_s << ' ' << passage.end_s << ' ' << passage.calls
                     << ' ' << passage.covered << ' ' << passage.excluded << '\n';
    }
    void on_gap(const Gap& gap) override { gaps.push_back(gap); }
    void on_stray_edge(const Edge& edge, const std::string&) override { strays.push_back(edge); }
    void on_stop(double, double) override {}
    void on_health(const MicrophoneMinute& minute) override { minutes.push_back(minute); }

    std::vector<StationCall> calls;
    std::vector<Passage> passages;
    std::vector<Gap> gaps;
    std::vector<MicrophoneMinute> minutes;
    std::vector<Edge> strays;
    std::ostringstream text;
    std::ostringstream passage_text;
};

inline std::vector<float> room(double seconds) {
    std::mt19937 random(3);
    std::normal_distribution<float> sample(0.0F, 0.003F);
    std::vector<float> samples(static_cast<std::size_t>(seconds * kRate_hz));
    for (float& value : samples) value = sample(random);
    return samples;
}

// A rising and falling voice with harmonics, far over the room.
inline void add_call(std::vector<float>& samples, double start_s, double length_s = 1.0, float gain = 0.1F) {
    double phase = 0.0;
    const auto first = static_cast<std::size_t>(start_s * kRate_hz);
    const auto count = static_cast<std::size_t>(length_s * kRate_hz);
    for (std::size_t i = 0; i < count && first + i < samples.size(); ++i) {
        const double share = static_cast<double>(i) / static_cast<double>(count);
        const double arch = std::sin(std::numbers::pi * share);
        phase += 2.0 * std::numbers::pi * (150.0 + 60.0 * arch) / kRate_hz;
        double voice = 0.0;
        for (int harmonic = 1; harmonic <= 8; ++harmonic) voice += std::sin(harmonic * phase) / harmonic;
        samples[first + i] += gain * static_cast<float>(std::sqrt(arch) * voice);
    }
}

// One animal: in at t, held at t+5, stunned at t+8, out at t+15.
inline std::vector<Edge> animal(double entered_s) {
    return {{entered_s, Role::kEntered, true},         {entered_s + 0.6, Role::kEntered, false},
            {entered_s + 5.0, Role::kHeld, true},      {entered_s + 8.0, Role::kStunned, true},
            {entered_s + 8.3, Role::kStunned, false},  {entered_s + 9.0, Role::kHeld, false},
            {entered_s + 15.0, Role::kReleased, true}, {entered_s + 15.5, Role::kReleased, false}};
}

inline std::vector<Edge> animals(std::initializer_list<double> entries_s) {
    std::vector<Edge> edges;
    for (const double entered_s : entries_s) {
        const auto one = animal(entered_s);
        edges.insert(edges.end(), one.begin(), one.end());
    }
    return edges;
}

// Plays audio and edges in blocks; edges and what is known of them come `late_s` behind the sound.
inline void play(Station& station, const std::vector<float>& samples, const std::vector<Edge>& edges,
                 std::size_t block, double late_s = 0.0) {
    const std::span<const float> all(samples);
    auto edge = edges.begin();
    for (std::size_t at = 0; at < all.size(); at += block) {
        const std::size_t count = std::min(block, all.size() - at);
        station.hear(0, all.subspan(at, count));
        const double known_s = static_cast<double>(at + count) / kRate_hz - late_s;
        for (; edge != edges.end() && edge->time_s < known_s; ++edge) station.take(*edge);
        if (known_s > 0.0) station.contacts_known_until(known_s);
    }
    for (; edge != edges.end() && edge->time_s < static_cast<double>(all.size()) / kRate_hz; ++edge)
        station.take(*edge);
    station.finish();
}

inline const double kRates[] = {kRate_hz};

} // namespace quietpass::testing
