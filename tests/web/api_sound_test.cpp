// Clips as the page draws them: what a picture's points and a waveform's columns say of real FLAC files.

#include <cmath>
#include <numbers>

#include "daemon/clips/clip_flac.h"
#include "tests/picture.h"
#include "tests/web/described.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

constexpr double kRate_hz = 16000.0;

// Four seconds of silence with a tone from 1 to 2 s.
SoundCut::Channel tone(double hz, double amplitude) {
    SoundCut::Channel channel{kRate_hz, std::vector<float>(64000, 0.0F)};
    for (std::size_t i = 16000; i < 32000; ++i) {
        channel.samples[i] = static_cast<float>(
            amplitude * std::sin(2.0 * std::numbers::pi * hz / kRate_hz * static_cast<double>(i)));
    }
    return channel;
}

// Clip 2: `head` has a tone of 2 kHz at -20 dB, `race` one of 1 kHz at -6 dB.
struct PageWithSound : ServedPage {
    HttpClient client;

    PageWithSound() : client(address) {
        SoundCut cut;
        cut.rate_hz = kRate_hz;
        cut.frames = 64000;
        cut.channels = {tone(2000.0, 0.1), tone(1000.0, 0.5)};
        folder.write("clips/two.flac", flac_of(cut, 16, {}));
        Store store(folder / "records.db");
        add_clip(store, {.clip_id = 2,
                         .shift_id = shift_id,
                         .end_s = 4.0,
                         .file = "clips/two.flac",
                         .sha256 = "cd",
                         .microphones = "head,race"});
        add_clip(store, {.clip_id = 3, .shift_id = shift_id, .end_s = 300.0, .file = "clips/two.flac"});
        add_clip(store, {.clip_id = 4, .shift_id = shift_id, .end_s = 5.0});
        delete_clip(store, 4);
        REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    }
    Reply tile(const std::string& query, const HttpClient::Headers& headers = {}) {
        return client.get("/api/v1/clips/2/spectrogram?" + query, headers);
    }
};

} // namespace

TEST_CASE("A point of a tile is the level at its time and frequency on the scale that was asked for") {
    PageWithSound page;
    const Reply reply = page.tile("from=0&to=4&width=400&height=80&low_db=-100&high_db=0");
    REQUIRE(reply.status == 200);
    const Picture picture = picture_of(reply.body);
    REQUIRE(picture.width == 400);
    REQUIRE(picture.height == 80);
    // 100 Hz a row; the one from 2 kHz on is the 60th from above. -20 dB is 204 of 255.
    CHECK(picture.at(150, 59) == Approx(204).margin(3));
    CHECK(picture.at(150, 40) < 60);
    CHECK(picture.at(50, 59) == 0);
    CHECK(picture.at(250, 59) == 0);
    // The other microphone, on a scale that ends below it.
    const Picture race =
        picture_of(page.tile("microphone=race&from=1&to=2&width=10&height=80&low_db=-100&high_db=-50").body);
    CHECK(race.at(5, 69) == 255);
    CHECK(race.at(5, 59) < 60);
}

TEST_CASE("Tiles side by side are one picture, and nothing short falls between coarse columns") {
    PageWithSound page;
    const Picture whole = picture_of(page.tile("from=0&to=4&width=200&height=64").body);
    const Picture left = picture_of(page.tile("from=0&to=2&width=100&height=64").body);
    const Picture right = picture_of(page.tile("from=2&to=4&width=100&height=64").body);
    for (int y = 0; y < 64; ++y) {
        for (int x = 0; x < 100; ++x) {
            REQUIRE(whole.at(x, y) == left.at(x, y));
            REQUIRE(whole.at(x + 100, y) == right.at(x, y));
        }
    }
    // One column: all four seconds, of which the tone is one.
    const Picture coarse = picture_of(page.tile("width=1&height=80&low_db=-100&high_db=0").body);
    CHECK(coarse.at(0, 59) == Approx(204).margin(3));
}

TEST_CASE("A tile is the same bytes each time, and a browser that has it is told so") {
    PageWithSound page;
    const std::string query = "from=0.5&to=1.5&width=64&height=32";
    const Reply first = page.tile(query);
    const Reply second = page.tile(query);
    CHECK(first.body == second.body);
    const std::string tag = first.headers.at("etag");
    CHECK(second.headers.at("etag") == tag);
    CHECK(first.headers.at("cache-control") == "private, no-cache");
    const Reply known = page.tile(query, {"If-None-Match: " + tag});
    CHECK(known.status == 304);
    CHECK(known.body.empty());
    CHECK(page.tile("from=0.5&to=1.5&width=65&height=32", {"If-None-Match: " + tag}).status == 200);
    CHECK(page.tile(query + "&microphone=race").headers.at("etag") != tag);
}

TEST_CASE("Peaks are the lowest and the highest sample of each part of the clip") {
    PageWithSound page;
    const Json peaks = page.client.get("/api/v1/clips/2/peaks?count=8&microphone=race").json();
    CHECK(peaks["microphone"] == "race");
    CHECK(peaks["seconds"] == 4.0);
    REQUIRE(peaks["lowest"].size() == 8);
    REQUIRE(peaks["highest"].size() == 8);
    for (std::size_t i = 0; i < 8; ++i) {
        const double size = i == 2 || i == 3 ? 0.5 : 0.0;
        CHECK(peaks["highest"][i].get<double>() == Approx(size).margin(0.001));
        CHECK(peaks["lowest"][i].get<double>() == Approx(-size).margin(0.001));
    }
}

TEST_CASE("Pictures of clips are answered as openapi.json describes, also where they can't be made") {
    PageWithSound page;
    const Described api(page.client);
    const std::string tile = "/clips/{clip}/spectrogram";
    api.get(tile, "/clips/2/spectrogram");
    for (const char* wrong :
         {"from=x", "from=1e400", "from=nan", "from=3&to=1", "from=1&to=1", "width=0", "width=4000",
          "height=1e3", "low_db=-20&high_db=-20", "microphone=none", "highest_hz=20"}) {
        INFO(wrong);
        CHECK(page.tile(wrong).status == 400);
        api.get(tile, std::string("/clips/2/spectrogram?") + wrong);
    }
    CHECK(page.client.get("/api/v1/clips/3/spectrogram").status == 400); // all of a clip that is too long
    CHECK(page.client.get("/api/v1/clips/3/spectrogram?from=200&to=300").status ==
          200); // the file is shorter
    api.get(tile, "/clips/99/spectrogram");
    api.get(tile, "/clips/4/spectrogram");
    api.get(tile, "/clips/1/spectrogram"); // its file is no sound
    CHECK(page.client.get("/api/v1/clips/1/spectrogram").status == 503);
    api.get("/clips/{clip}/peaks", "/clips/2/peaks");
    api.get("/clips/{clip}/peaks", "/clips/2/peaks?count=0");
    api.get("/clips/{clip}/peaks", "/clips/99/peaks");
    api.get("/clips/{clip}/peaks", "/clips/4/peaks");
    HttpClient wall(page.address);
    REQUIRE(wall.log_in("wall", kPassword).status == 200);
    CHECK(wall.get("/api/v1/clips/2/spectrogram").status == 403);
}
