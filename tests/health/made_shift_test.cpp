// The demonstration shift (bangs, air, voices, machines, calls) with its microphone whole and broken, through
// the whole Station: which faults are found and which passages they uncover.
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "daemon/capture/file_source.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/settings/station_file.h"
#include "daemon/station.h"
#include "tests/health/capsules.h"

using namespace quietpass;
using namespace quietpass::testing;

namespace {

constexpr double kShiftTrouble_s = 400.0;

struct Filed : StationEvents {
    void on_call(const StationCall&) override {}
    void on_passage(const Passage& passage) override { passages.push_back(passage); }
    void on_gap(const Gap& gap) override { gaps.push_back(gap); }
    void on_stray_edge(const Edge&, const std::string&) override {}
    void on_stop(double, double) override {}
    void on_health(const MicrophoneMinute& minute) override { minutes.push_back(minute); }

    std::vector<Passage> passages;
    std::vector<Gap> gaps;
    std::vector<MicrophoneMinute> minutes;
};

const Samples& demo_audio(double& rate_hz) {
    static double rate = 0.0;
    static const Samples samples = [] {
        FileSource file(std::string(MADE_SHIFTS) + "/demo/audio.wav");
        rate = file.sample_rate_hz();
        Samples all;
        Stretch stretch;
        while (file.next(stretch) && stretch.kind == Stretch::Kind::kSamples) {
            const auto channel = stretch.channel(0);
            all.insert(all.end(), channel.begin(), channel.end());
        }
        return all;
    }();
    rate_hz = rate;
    return samples;
}

Filed filed(Trouble trouble) {
    double rate_hz = 0.0;
    Samples samples = demo_audio(rate_hz);
    spoil(samples, static_cast<std::size_t>(kShiftTrouble_s * rate_hz), rate_hz, trouble);
    StationSettings settings = read_station_file(std::string(TESTDATA) + "/demo/station.toml");
    settings.health.learn_minutes = 4.0; // the shift is twelve minutes long
    const auto edges =
        edges_of(read_contacts_csv(std::string(MADE_SHIFTS) + "/demo/contacts.csv", settings), settings);
    Filed events;
    Station station(settings, nullptr, std::vector<double>{rate_hz}, events);
    auto edge = edges.begin();
    const std::span<const float> all(samples);
    constexpr std::size_t kBlock = 4800;
    for (std::size_t at = 0; at < all.size(); at += kBlock) {
        const std::size_t count = std::min(kBlock, all.size() - at);
        station.hear(0, all.subspan(at, count));
        const double heard_s = static_cast<double>(at + count) / rate_hz;
        for (; edge != edges.end() && edge->edge.time_s < heard_s; ++edge) station.take(edge->edge);
        station.contacts_known_until(heard_s);
    }
    station.finish();
    return events;
}

} // namespace

TEST_CASE("An ordinary shift with a whole microphone has no health fault and figures for every minute") {
    const Filed shift = filed(Trouble::kNone);
    CHECK(shift.gaps.empty());
    CHECK(shift.passages.size() == 18);
    REQUIRE(shift.minutes.size() >= 11);
    CHECK(shift.minutes.front().microphone == "head");
    CHECK(shift.minutes.back().usual_known);
    for (const MicrophoneMinute& minute : shift.minutes) {
        INFO(minute.start_s);
        CHECK(minute.covered_s + minute.hum_s + minute.wind_s + minute.level_far_s <= 6.0);
    }
}

TEST_CASE("A microphone that breaks in mid-shift uncovers the passages from then on, and those before stay") {
    const std::pair<Trouble, GapCause> troubles[] = {
        {Trouble::kDead, GapCause::kSilent},       {Trouble::kClipped, GapCause::kClipped},
        {Trouble::kCovered, GapCause::kCoveredUp}, {Trouble::kFilm, GapCause::kCoveredUp},
        {Trouble::kWind, GapCause::kWind},         {Trouble::kDrops, GapCause::kWind},
        {Trouble::kHum50, GapCause::kHum},         {Trouble::kHum60, GapCause::kHum},
        {Trouble::kGainDown, GapCause::kLevelFar}};
    for (const auto& [trouble, cause] : troubles) {
        INFO(name_of(cause));
        const Filed shift = filed(trouble);
        REQUIRE_FALSE(shift.gaps.empty());
        CHECK(shift.gaps[0].cause == cause);
        CHECK(shift.gaps[0].start_s == Approx(kShiftTrouble_s).margin(20.0));
        std::size_t uncovered = 0;
        for (const Passage& passage : shift.passages) {
            INFO(passage.id << " entered at " << passage.entered_s);
            if (passage.end_s < kShiftTrouble_s) CHECK(passage.covered);
            if (passage.entered_s > kShiftTrouble_s + 20.0) {
                CHECK_FALSE(passage.covered);
                ++uncovered;
            }
        }
        CHECK(uncovered >= 6);
    }
}
