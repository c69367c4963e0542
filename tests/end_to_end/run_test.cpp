// The daemon as a plant runs it: a microphone through PortAudio, contacts through Modbus, records on the
// disk. The microphone is the ALSA plug-in of tests/capture, eight times faster than real time.

#include <signal.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <SQLiteCpp/Database.h>
#include <sndfile.h>
#include <algorithm>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "daemon/records/sha256.h"
#include "daemon/records/store.h"
#include "tests/end_to_end/plant.h"

using namespace quietpass::test;

TEST_CASE("A whole short shift is heard, counted and filed") {
    const Plant plant;
    const Outcome outcome = run_program(plant.run_words("99"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto record = plant.shift_record();
    INFO(record["excluded"].dump());
    CHECK(record["scored"] == 5);
    CHECK(record["vocal"] == 2);
    CHECK(record["excluded"].empty());
    CHECK(record["coverage"]["passages"] == 1.0);
    CHECK(lines_of(outcome.out).size() == 6);
    for (const std::string& line : lines_of(outcome.out)) CHECK(line.size() <= 80);
}

TEST_CASE(
    "Two microphones on one device tell waiting animals' calls live as they do when the file is scored") {
    const Plant plant("", {}, "short_two", "4"); // two channels are twice the work
    std::string station = text_of(plant.folder / "station.toml");
    const std::string device = "device = \"default\"\n";
    station.insert(station.find(device) + device.size(),
                   "up_race_m = 0\n[[microphone]]\nname = \"race\"\n" + device + "up_race_m = 7\n");
    write_text(plant.folder / "station.toml", station);
    SF_INFO info{};
    SNDFILE* const audio = sf_open((made_shift("short_two") / "audio.wav").c_str(), SFM_READ, &info);
    REQUIRE(audio != nullptr);
    sf_close(audio);
    const std::string whole_s = std::to_string(static_cast<double>(info.frames) / info.samplerate);
    const Outcome live = run_program(plant.run_words(whole_s), plant.environment());
    INFO(live.err << plant.log());
    REQUIRE(live.exit_code == 0);
    CHECK(plant.log().find("are waiting animals' and don't count") != std::string::npos);
    const Outcome scored = run_program(
        {quietpass_program(), "score", "--station", (plant.folder / "station.toml").string(), "--audio",
         (made_shift("short_two") / "audio.wav").string(), "--contacts",
         (made_shift("short_two") / "contacts.csv").string(), "--out", (plant.folder / "scored").string()});
    REQUIRE(scored.exit_code == 0);
    const auto calls = lines_of(text_of(plant.shift_folder() / "calls.csv"));
    CHECK(calls == lines_of(text_of(plant.folder / "scored" / "calls.csv")));
    CHECK(plant.shift_record()["whose_call"]["waiting_calls"].get<int>() >= 1);
    CHECK(plant.shift_record()["vocal"] == 1);
}

TEST_CASE("SIGTERM stops the daemon cleanly with the shift so far written") {
    const Plant plant;
    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 2; }));
    daemon.signal(SIGTERM);
    INFO(daemon.err() << plant.log());
    REQUIRE(daemon.wait() == 0);
    const auto record = plant.shift_record();
    INFO(record["excluded"].dump());
    CHECK(record["scored"].get<int>() >= 2);
    CHECK(record["vocal"].get<int>() >= 1);
    CHECK(record["ended_by"] == "end");
    const quietpass::Store store(plant.folder / "out" / "records.db");
    CHECK(store.open_shifts().empty());
    CHECK(store.integrity_errors().empty());

    // All that was written is signed, and the shift's folder has the proof.
    const std::string out = (plant.folder / "out").string();
    const Outcome verified = run_program({quietpass_program(), "verify", "--out", out});
    INFO(verified.out << verified.err);
    CHECK(verified.exit_code == 0);
    CHECK(verified.out.find("not signed yet") == std::string::npos);
    const auto proof = nlohmann::json::parse(text_of(plant.shift_folder() / "shift.sig.json"));
    const std::string previous = proof["record"]["previous"];
    const std::string line = proof["record"]["line"];
    CHECK(quietpass::sha256_hex(previous + "\n" + line + "\n") == proof["record"]["hash"]);
    CHECK(nlohmann::json::parse(line)["record_json"] == text_of(plant.shift_folder() / "shift.json"));
    const Outcome paper = run_program(
        {quietpass_program(), "verify", "--out", out, "--code", proof["code"].get<std::string>()});
    INFO(paper.err);
    CHECK(paper.exit_code == 0);
    int documents = 0;
    store.read([&documents](SQLite::Database& database) {
        documents = database.execAndGet("SELECT count(DISTINCT kind) FROM documents").getInt();
    });
    CHECK(documents == 2);
}

TEST_CASE("What was written survives kill -9, and the next start closes the shift") {
    const Plant plant;
    std::size_t shown = 0;
    {
        Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
        // A passage that is shown is in the store half a second later at the latest; the next one comes after
        // that.
        REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 3; }));
        shown = Plant::passages_shown(daemon);
        daemon.signal(SIGKILL);
        CHECK(daemon.wait() == 128 + SIGKILL);
    }
    {
        const quietpass::Store store(plant.folder / "out" / "records.db");
        CHECK(store.integrity_errors().empty());
        const auto open = store.open_shifts();
        REQUIRE(open.size() == 1);
        const auto rows = store.read_shift(open[0].shift_id);
        REQUIRE(rows);
        CHECK(rows->passages.size() + 1 >= shown);
        CHECK(rows->edges.size() >= 4 * rows->passages.size());
    }
    const Outcome next = run_program(plant.run_words("2"), plant.environment());
    INFO(next.err << plant.log());
    REQUIRE(next.exit_code == 0);
    const quietpass::Store store(plant.folder / "out" / "records.db");
    CHECK(store.open_shifts().empty());
    const auto shifts = store.shifts();
    REQUIRE(shifts.size() == 2);
    const auto killed = nlohmann::json::parse(shifts[0].record_json);
    CHECK(killed["ended_by"] == "killed");
    CHECK(killed["scored"].get<std::size_t>() + 1 >= shown);
    std::size_t folders = 0;
    for (const auto& entry : std::filesystem::directory_iterator(plant.folder / "out" / "shifts")) {
        CHECK(std::filesystem::exists(entry.path() / "shift.json"));
        CHECK(std::filesystem::exists(entry.path() / "shift.sig.json"));
        ++folders;
    }
    CHECK(folders == 2);
}

TEST_CASE("A second daemon on the same records refuses to start, in one line") {
    const Plant plant;
    Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return Plant::passages_shown(daemon) >= 1; }));
    auto words = plant.run_words("2");
    words.erase(std::find(words.begin(), words.end(), "--log"),
                std::find(words.begin(), words.end(), "--speed"));
    const Outcome second = run_program(words, plant.environment());
    CHECK(second.exit_code == 1);
    CHECK(lines_of(second.err).size() == 1);
    CHECK(second.err.find("another quietpass run") != std::string::npos);
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
}

TEST_CASE("A microphone that goes away and comes back: a gap, passages not covered, and counting goes on") {
    // Gone for 16 s of the shift while the second animal is in: two of real time.
    const Plant plant("gone 1248000 16");
    const Outcome outcome = run_program(plant.run_words("99"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto record = plant.shift_record();
    INFO(record["excluded"].dump());
    CHECK(record["scored"].get<int>() >= 2);
    CHECK(record["scored"].get<int>() + record["excluded"]["unplugged"].get<int>() == 5);
    CHECK(record["excluded"]["unplugged"].get<int>() >= 1);
    CHECK(record["coverage"]["time_heard"].get<double>() < 0.9);
    const quietpass::Store store(plant.folder / "out" / "records.db");
    const auto rows = store.read_shift(store.shifts().at(0).shift_id);
    REQUIRE(rows);
    REQUIRE_FALSE(rows->gaps.empty());
    CHECK(rows->gaps[0].cause == quietpass::GapCause::kUnplugged);
    CHECK(rows->gaps[0].start_s == Approx(26.0).margin(1.0));
    // Heard again at most five seconds of real time, at eight times its speed, after the device was back.
    CHECK(rows->gaps[0].end_s - rows->gaps[0].start_s <= 16.0 + 5.0 * 8.0);
    // The fourth animal's call stands where it is in the sound, though seconds of it were never heard.
    CHECK(std::any_of(rows->calls.begin(), rows->calls.end(), [](const quietpass::StationCall& call) {
        return call.passage_id == 4 && std::abs(call.heard.start_s - 64.7) < 0.5;
    }));
}

TEST_CASE(
    "A microphone that comes back with another rate is a gap that names it, until its own rate is back") {
    // Slower than elsewhere: between its going and the end of the shift it is found at the wrong rate and
    // mended.
    const Plant plant("gone 1248000 1", {}, "short", "3");
    const auto device = plant.folder / "device.wav";
    std::filesystem::copy_file(made_shift("short") / "audio.wav", device);
    const auto own = std::filesystem::path(plant.folder / "own.wav");
    const auto other = std::filesystem::path(plant.folder / "other.wav");
    SF_INFO info{};
    info.samplerate = 44100;
    info.channels = 1;
    info.format = SF_FORMAT_WAV | SF_FORMAT_PCM_16;
    SNDFILE* const file = sf_open(other.c_str(), SFM_WRITE, &info);
    REQUIRE(file != nullptr);
    const std::vector<float> silence(120 * 44100);
    sf_write_float(file, silence.data(), static_cast<sf_count_t>(silence.size()));
    sf_close(file);
    std::string conf = text_of(plant.folder / "asound.conf");
    const std::string was = (made_shift("short") / "audio.wav").string();
    conf.replace(conf.find(was), was.size(), device.string());
    write_text(plant.folder / "asound.conf", conf);

    Background daemon(plant.run_words("99"), plant.environment(), plant.folder / "o", plant.folder / "e");
    REQUIRE(wait_until([&] { return plant.log().find("listens at") != std::string::npos; }));
    std::filesystem::rename(device, own); // what is open stays what it is
    std::filesystem::rename(other, device);
    CHECK(wait_until([&] { return plant.log().find("44100 Hz") != std::string::npos; }));
    std::filesystem::rename(own, device);
    CHECK(daemon.wait() == 0);
    INFO(daemon.err() << plant.log());
    CHECK(plant.log().find("refuses 48000 Hz") != std::string::npos);
    const auto record = plant.shift_record();
    INFO(record["excluded"].dump());
    CHECK(record["excluded"]["unplugged"].get<int>() >= 1);
    const quietpass::Store store(plant.folder / "out" / "records.db");
    const auto rows = store.read_shift(store.shifts().at(0).shift_id);
    REQUIRE(rows);
    REQUIRE_FALSE(rows->gaps.empty());
    CHECK(rows->gaps[0].cause == quietpass::GapCause::kUnplugged);
    // The fourth animal's call stands where it is in the sound.
    CHECK(std::any_of(rows->calls.begin(), rows->calls.end(), [](const quietpass::StationCall& call) {
        return call.passage_id == 4 && std::abs(call.heard.start_s - 64.7) < 0.5;
    }));
}

TEST_CASE("Contacts that stop answering uncover the passages they span and invent no animal") {
    // The module is silent from second 26 to 36: the second animal is inside.
    const Plant plant("", {"--mute", "26:10"});
    const Outcome outcome = run_program(plant.run_words("99"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto record = plant.shift_record();
    INFO(record["excluded"].dump());
    CHECK(record["passages"].get<int>() <= 5);
    CHECK(record["excluded"]["contacts_lost"].get<int>() >= 1);
    CHECK(record["scored"].get<int>() >= 3);
    CHECK(plant.log().find("do not answer") != std::string::npos);
    CHECK(plant.log().find("answer again") != std::string::npos);

    // What was written of the contacts says so too: scored again, the same passages are not covered.
    std::filesystem::path contacts_csv;
    for (const auto& entry : std::filesystem::directory_iterator(plant.folder / "out")) {
        if (entry.path().filename().string().starts_with("contacts_")) contacts_csv = entry.path();
    }
    const std::string written = text_of(contacts_csv);
    CHECK(written.find(",lost\n") != std::string::npos);
    CHECK(written.find(",back\n") != std::string::npos);
    const Outcome scored =
        run_program({quietpass_program(), "score", "--station", (plant.folder / "station.toml").string(),
                     "--audio", (made_shift("short") / "audio.wav").string(), "--contacts",
                     contacts_csv.string(), "--out", (plant.folder / "scored").string()});
    INFO(scored.err);
    REQUIRE(scored.exit_code == 0);
    const auto again = nlohmann::json::parse(text_of(plant.folder / "scored" / "shift.json"));
    CHECK(again["excluded"] == record["excluded"]);
    CHECK(again["scored"] == record["scored"]);
    CHECK(again["vocal"] == record["vocal"]);
}

TEST_CASE("The service manager is told when the daemon is ready, that sound goes on, and when it stops") {
    const Plant plant;
    const std::string path = (plant.folder / "notify").string();
    const int notify = socket(AF_UNIX, SOCK_DGRAM | SOCK_NONBLOCK, 0);
    sockaddr_un address{};
    address.sun_family = AF_UNIX;
    REQUIRE(path.size() < sizeof address.sun_path);
    std::copy(path.begin(), path.end(), address.sun_path);
    REQUIRE(bind(notify, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0);
    Environment environment = plant.environment();
    environment["NOTIFY_SOCKET"] = path;
    environment["WATCHDOG_USEC"] = "600000";
    std::string told;
    const auto tell = [&] {
        char text[256];
        for (ssize_t size = recv(notify, text, sizeof text, 0); size > 0;
             size = recv(notify, text, sizeof text, 0)) {
            told += std::string(text, static_cast<std::size_t>(size)) + "\n";
        }
    };
    Background daemon(plant.run_words(), environment, plant.folder / "o", plant.folder / "e");
    const auto has = [&](const std::string& words) {
        return wait_until([&] {
            tell();
            return told.find(words) != std::string::npos;
        });
    };
    CHECK(has("READY=1"));
    CHECK(has("WATCHDOG=1"));
    CHECK(has("STATUS="));
    daemon.signal(SIGTERM);
    CHECK(daemon.wait() == 0);
    CHECK(has("STOPPING=1"));
    close(notify);
}
