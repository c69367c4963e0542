// How long the live chain takes, in real time, with PortAudio on the capture plug-in and Modbus on loopback:
// from a contact's change to the phase, and from the end of a call's sound to the notice of a call after the
// stun.
#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <numbers>
#include <thread>

#include "classifiers/measures.h"
#include "daemon/capture/clock_fit.h"
#include "daemon/capture/portaudio_source.h"
#include "daemon/capture/portaudio_thread.h"
#include "daemon/commands/live_station.h"
#include "daemon/contacts/live_sources.h"
#include "tests/capture/sound_files.h"
#include "tests/capture/test_microphone.h"
#include "tests/contacts/modbus_server.h"

namespace quietpass {
namespace {

constexpr double kRate_hz = 48000.0;
constexpr double kCall_s = 11.0;
constexpr double kCallLasts_s = 1.0;
constexpr double kAll_s = 17.0;

// A hall, a call at kCall_s, and a machine that sets in before the call ends and stays.
std::vector<float> hall_with_call() {
    std::vector<float> samples = tests::noise(static_cast<int>(kAll_s) + 3, 1);
    for (float& sample : samples) sample *= 0.01F;
    const std::vector<float> machine = tests::noise(6, 1, 48000, 7);
    double phase = 0.0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const double t_s = static_cast<double>(i) / kRate_hz - kCall_s;
        if (t_s >= 0.0 && t_s < kCallLasts_s) {
            const double arch = std::sin(std::numbers::pi * t_s / kCallLasts_s);
            phase += 2.0 * std::numbers::pi * (150.0 + 60.0 * arch) / kRate_hz;
            double voice = 0.0;
            for (int harmonic = 1; harmonic <= 8; ++harmonic) voice += std::sin(harmonic * phase) / harmonic;
            samples[i] += 0.1F * static_cast<float>(std::sqrt(arch) * voice);
        }
        const auto into = static_cast<std::ptrdiff_t>((t_s - 0.9) * kRate_hz);
        if (into >= 0 && into < static_cast<std::ptrdiff_t>(machine.size())) {
            samples[i] += 0.03F * machine[static_cast<std::size_t>(into)];
        }
    }
    return samples;
}

// Every sound with a steady pitch is a moo: this is about time, not about what a call is.
Profile every_sound_is_a_moo() {
    Profile profile;
    profile.name = "every sound";
    Scorecard card;
    card.base = 1.0;
    card.gates.push_back({*measure_index("voice_s"), 0.3F, std::numeric_limits<float>::infinity()});
    profile.cards.push_back(card);
    return profile;
}

struct Step {
    double at_s; // after the start
    int input;
    Role role;
};
const std::vector<Step> kSteps = {{3.0, 0, Role::kEntered}, {5.5, 1, Role::kHeld}, {8.0, 2, Role::kStunned}};

StationSettings station(int port) {
    StationSettings settings;
    settings.name = "box";
    settings.microphones.emplace_back().name = "head";
    settings.microphones.back().device = "default";
    for (const Step& step : kSteps) {
        ContactSettings contact;
        contact.role = step.role;
        contact.name = name_of(step.role);
        contact.input = "modbus://127.0.0.1:" + std::to_string(port) + "/unit/1/discrete/" +
                        std::to_string(step.input);
        settings.contacts.push_back(contact);
    }
    return settings;
}

// Passes all on to the book, as the daemon does, and notes when.
struct Timed : StationEvents {
    Timed(ShiftBook& receiver, const Clock& watch) : book(receiver), clock(watch) {}
    void on_call(const StationCall& call) override { book.on_call(call); }
    void on_passage(const Passage& passage) override { book.on_passage(passage); }
    void on_gap(const Gap& gap) override { book.on_gap(gap); }
    void on_stray_edge(const Edge& edge, const std::string& why) override { book.on_stray_edge(edge, why); }
    void on_stop(double start_s, double end_s) override { book.on_stop(start_s, end_s); }
    void on_phase(const PhaseNow& now) override {
        if (now.phase) phase_ns[*now.phase] = clock.monotonic_ns();
    }
    void on_after_stun_call(const StationCall& call) override {
        if (notices++ == 0) notice_ns = clock.monotonic_ns();
        CHECK(call.heard.start_s == Approx(kCall_s).margin(0.3));
    }
    ShiftBook& book;
    const Clock& clock;
    std::map<Phase, std::int64_t> phase_ns;
    std::int64_t notice_ns = 0;
    int notices = 0;
};

} // namespace

TEST_CASE("A contact is a phase within 0.2 s, and a call after the stun is told within 1 s of its end") {
    tests::TestMicrophones microphones(1.0);
    microphones.add("default", hall_with_call()).plug_in();
    setenv("JACK_NO_START_SERVER", "1", 1);
    ModbusServer device;
    const StationSettings settings = station(device.port());
    const RealClock clock;
    PortAudioThread audio;
    PortAudioSource source(audio, clock, {.device = "default", .channels = 1});
    REQUIRE(source.sample_rate_hz() == kRate_hz);
    const LiveSources contacts = live_sources(settings, clock);

    const TestFolder folder;
    StoreWriter store(Store(folder / "records.db"));
    ShiftBook book(settings, {}, nullptr, store, [](const ClosedShift&) {});
    Timed timed(book, clock);
    const Profile profile = every_sound_is_a_moo();
    const std::vector<double> rates_hz = {kRate_hz};
    Station listening(settings, &profile, rates_hz, timed);
    ContactQueue queue;
    LiveStation live(settings, clock, {{&source}, &queue, {contacts.sources.front()->name()}},
                     contacts.source_of, listening, book, [](bool, const std::string&) {},
                     [](const ContactNews&) {});

    std::map<Phase, std::int64_t> set_ns;
    std::atomic<bool> over{false};
    const std::int64_t begin_ns = clock.monotonic_ns();
    std::thread world([&] {
        std::size_t next = 0;
        constexpr Phase kPhases[] = {Phase::kEntry, Phase::kHeld, Phase::kAtStun};
        while (!over.load()) {
            device.serve(std::chrono::milliseconds(2));
            const double now_s = static_cast<double>(clock.monotonic_ns() - begin_ns) * 1e-9;
            if (next >= kSteps.size() || now_s < kSteps[next].at_s) continue;
            device.set(ModbusTable::kDiscrete, kSteps[next].input, true);
            set_ns[kPhases[next]] = clock.monotonic_ns();
            ++next;
        }
    });
    for (const auto& one : contacts.sources) one->start(queue);
    const std::atomic<bool> stop{false};
    live.listen(stop, kAll_s, [](std::int64_t) {});
    over.store(true);
    world.join();
    for (const auto& one : contacts.sources) one->stop();

    REQUIRE(set_ns.size() == 3);
    double slowest_s = 0.0;
    for (const auto& [phase, at_ns] : set_ns) {
        REQUIRE(timed.phase_ns.count(phase) == 1);
        slowest_s = std::max(slowest_s, static_cast<double>(timed.phase_ns[phase] - at_ns) * 1e-9);
    }
    REQUIRE(timed.notices == 1);
    const auto call_end_ns =
        source.clock_fit()->monotonic_ns_at((kCall_s + kCallLasts_s) * kRate_hz);
    const double notice_s = static_cast<double>(timed.notice_ns - call_end_ns) * 1e-9;
    std::printf("contact to phase: %.3f s at most; end of the call to its notice: %.3f s\n", slowest_s,
                notice_s);
    CHECK(slowest_s <= 0.2);
    CHECK(notice_s <= 1.0);
}

} // namespace quietpass
