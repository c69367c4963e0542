// Sound on the live page: what columns and levels say of it, and that nothing is made for nobody.

#include "daemon/web/live_sound.h"

#include <cmath>
#include <numbers>

#include "tests/web/described_by.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

// Gives a tone in blocks of 20 ms, as a device does.
void play(LiveSound& sound, double rate_hz, double hz, double amplitude, double from_s, double to_s) {
    const auto block = static_cast<std::size_t>(rate_hz / 50.0);
    std::vector<float> samples(block);
    for (double start_s = from_s; start_s < to_s - 0.001; start_s += 0.02) {
        for (std::size_t i = 0; i < block; ++i) {
            samples[i] =
                static_cast<float>(0.25 + amplitude * std::sin(2.0 * std::numbers::pi * hz *
                                                               (start_s + static_cast<double>(i) / rate_hz)));
        }
        sound.on_sound(0, rate_hz, start_s, samples);
    }
}

std::size_t loudest(const Json& levels) {
    return static_cast<std::size_t>(std::max_element(levels.begin(), levels.end()) - levels.begin());
}

} // namespace

TEST_CASE("A tone is in the column of its time, in the band of its frequency, at its level") {
    for (const double rate_hz : {48000.0, 44100.0, 16000.0, 8000.0}) {
        ServedPage page;
        HttpClient client(page.address);
        REQUIRE(client.log_in("wall", kPassword).status == 200);
        LiveListener listener(page.port, client.cookie);
        const auto hello = listener.next_of("hello");
        REQUIRE(hello);
        const Json bands_hz = (*hello)["spectrum"]["bands_hz"];
        REQUIRE(bands_hz.size() == 64);
        REQUIRE(wait_until([&] { return page.feed->is_listened(); }));
        LiveSound sound(*page.feed);
        const double hz = bands_hz[20];
        play(sound, rate_hz, hz, 0.1, 100.0, 101.1);
        INFO(rate_hz);
        for (int column = 0; column < 5; ++column) {
            const auto message = listener.next_of("spectrum");
            REQUIRE(message);
            const Json& spectrum = (*message)["spectrum"];
            CHECK(spectrum["microphone"] == "head");
            CHECK(spectrum["start_s"].get<double>() == Approx(100.0 + 0.2 * column).margin(0.021));
            const Json& levels = spectrum["levels_db"];
            CHECK(loudest(levels) == 20);
            CHECK(levels[20].get<int>() == Approx(-20).margin(1));
            CHECK(levels[40].get<int>() < -70);
            if (rate_hz == 8000.0) CHECK(levels[63] == -127);
        }
        const auto level = listener.next_of("level");
        REQUIRE(level);
        CHECK((*level)["level"]["of_s"] == 1);
        CHECK((*level)["level"]["level_db"].get<double>() == Approx(-20.0).margin(0.1)); // the mean removed
        CHECK((*level)["level"]["end_s"].get<double>() == Approx(101.0).margin(0.001));
    }
}

TEST_CASE("Who comes later has the last 20 s, in dB SPL of a calibrated microphone") {
    ServedPage page([](StationSettings& settings) {
        settings.microphones[0].reference = LevelReference{};
        settings.microphones[0].reference->sensitivity_db_spl_fs = 120.0;
    });
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    REQUIRE(wait_until([&] { return page.feed->is_listened(); }));
    LiveSound sound(*page.feed);
    play(sound, 16000.0, 1000.0, 0.1, 0.0, 30.0);
    page.feed->turn(30.0, page.utc);
    Json live;
    REQUIRE(wait_until([&] {
        live = client.get("/api/v1/live").json();
        return live["heard_until_s"] == 30.0;
    }));
    const Json& head = live["spectrum"]["microphones"][0];
    CHECK(head["unit"] == "dB SPL");
    const Json& columns = head["columns"];
    REQUIRE(columns.size() == Approx(100).margin(1));
    CHECK(columns.front()["start_s"].get<double>() == Approx(10.0).margin(0.21));
    const Json& levels = columns.back()["levels_db"];
    CHECK(levels[loudest(levels)].get<int>() == Approx(100).margin(2));
    CHECK(live["levels"][0]["unit"] == "dB SPL");
    CHECK(live["levels"][0]["level_db"].get<double>() == Approx(100.0).margin(0.1));
}

TEST_CASE("Nothing is made of sound while nobody listens, and a loss breaks a column") {
    ServedPage page;
    page.page->stop(); // it has nobody to tell the feed of
    LiveSound sound(*page.feed);
    const auto taken = [&] {
        std::vector<double> starts;
        page.feed->take([&](const LiveEvent& event) {
            if (const auto* column = std::get_if<LiveSpectrum>(&event.what))
                starts.push_back(column->start_s);
        });
        return starts;
    };
    play(sound, 16000.0, 1000.0, 0.1, 0.0, 2.0);
    CHECK(taken().empty());
    page.feed->listened(true);
    play(sound, 16000.0, 1000.0, 0.1, 2.0, 2.1);
    sound.on_loss(0);
    play(sound, 16000.0, 1000.0, 0.1, 5.0, 5.5);
    const auto starts = taken();
    REQUIRE(starts.size() == 2);
    CHECK(starts[0] == Approx(5.0));
    CHECK(starts[1] == Approx(5.2));
}

TEST_CASE("Sound is left out before anything else is, where the page doesn't take its events") {
    ServedPage page;
    page.page->stop();
    page.feed->lost();
    page.feed->take([](const LiveEvent&) {});
    page.feed->listened(true);
    LiveSound sound(*page.feed);
    play(sound, 8000.0, 1000.0, 0.1, 0.0, 600.0); // 3000 columns
    CHECK(page.feed->lost() == 0);
    page.feed->on_edge({600.0, Role::kEntered, true});
    CHECK(page.feed->lost() == 0);
    std::size_t columns = 0;
    bool edge = false;
    page.feed->take([&](const LiveEvent& event) {
        columns += std::holds_alternative<LiveSpectrum>(event.what) ? 1 : 0;
        edge = edge || std::holds_alternative<Edge>(event.what);
    });
    CHECK(edge);
    CHECK(columns < 2100);
}
