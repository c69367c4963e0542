// Clips through the real daemon: sound from PortAudio, files and rows on the disk, persons with commands.

#include <SQLiteCpp/Database.h>
#include <signal.h>
#include <sndfile.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <tuple>
#include <vector>

#include "daemon/clock.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/sha256.h"
#include "daemon/records/store.h"
#include "daemon/records/utc_text.h"
#include "tests/end_to_end/plant.h"

using namespace quietpass::test;
using quietpass::ClipFilter;
using quietpass::ClipWhy;
using quietpass::StoredClip;

namespace {

void append_settings(const Plant& plant, const std::string& lines) {
    write_text(plant.folder / "station.toml", text_of(plant.folder / "station.toml") + "\n" + lines);
}

std::vector<StoredClip> clips_of(const Plant& plant, const ClipFilter& filter = {}) {
    const quietpass::Store store(plant.folder / "out" / "records.db");
    std::vector<StoredClip> clips;
    store.read([&](SQLite::Database& database) { clips = quietpass::read_clips(database, filter); });
    return clips;
}

std::vector<quietpass::StationCall> calls_of(const Plant& plant) {
    const quietpass::Store store(plant.folder / "out" / "records.db");
    return store.read_shift(store.shifts().at(0).shift_id)->calls;
}

struct Sound {
    std::vector<int> samples; // left-aligned in 32 bits
    int rate_hz = 0;
    int channels = 0;
    std::string comment;
};

Sound sound_of(const std::filesystem::path& file) {
    SF_INFO info{};
    SNDFILE* const opened = sf_open(file.c_str(), SFM_READ, &info);
    INFO(file.string());
    REQUIRE(opened != nullptr);
    Sound sound;
    sound.samples.resize(static_cast<std::size_t>(info.frames * info.channels));
    sf_readf_int(opened, sound.samples.data(), info.frames);
    sound.rate_hz = info.samplerate;
    sound.channels = info.channels;
    if (const char* const comment = sf_get_string(opened, SF_STR_COMMENT)) sound.comment = comment;
    sf_close(opened);
    return sound;
}

// The clip has what the microphone played, sample by sample, where its row says that it begins.
void check_against_source(const Plant& plant, const StoredClip& clip, const Sound& source) {
    const std::filesystem::path file = plant.folder / "out" / clip.row.file;
    CHECK(quietpass::sha256_hex_of_file(file) == clip.row.sha256);
    CHECK(static_cast<std::int64_t>(std::filesystem::file_size(file)) == clip.row.bytes);
    const Sound kept = sound_of(file);
    CHECK(kept.rate_hz == source.rate_hz);
    const auto first = static_cast<std::size_t>(std::llround(clip.row.start_s * source.rate_hz));
    REQUIRE(first + kept.samples.size() <= source.samples.size());
    CHECK(std::equal(kept.samples.begin(), kept.samples.end(),
                     source.samples.begin() + static_cast<std::ptrdiff_t>(first)));
    CHECK(kept.comment.find("clip=" + std::to_string(clip.row.clip_id) + ";") != std::string::npos);
}

// Every file below clips/ has a row and is what the row says.
bool files_agree(const Plant& plant) {
    std::vector<std::string> expected;
    for (const StoredClip& clip : clips_of(plant)) {
        if (quietpass::sha256_hex_of_file(plant.folder / "out" / clip.row.file) != clip.row.sha256)
            return false;
        expected.push_back(clip.row.file);
    }
    std::vector<std::string> there;
    const std::filesystem::path out = plant.folder / "out";
    for (const auto& entry : std::filesystem::recursive_directory_iterator(out / "clips")) {
        const std::string name = entry.path().lexically_relative(out).string();
        if (entry.is_regular_file() && !name.starts_with("clips/unrecorded/")) there.push_back(name);
    }
    std::sort(expected.begin(), expected.end());
    std::sort(there.begin(), there.end());
    return there == expected;
}

Outcome clips_command(const Plant& plant, std::vector<std::string> words) {
    words.insert(words.begin(), {quietpass_program(), "clips"});
    words.insert(words.end(), {"--out", (plant.folder / "out").string()});
    return run_program(words);
}

} // namespace

TEST_CASE("Each call and each sampled quiet passage of a shift has a clip that is the sound bit for bit") {
    const Plant plant;
    append_settings(plant, "[clips]\nquiet_percent = 100\nmin_free_mb = 0\n");
    const Outcome outcome = run_program(plant.run_words("99"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    const auto clips = clips_of(plant);
    const Sound source = sound_of(made_shift("short") / "audio.wav");

    std::size_t calls = 0;
    for (const auto& call : calls_of(plant)) {
        ClipFilter filter;
        filter.call_id = call.id;
        const auto of_call = clips_of(plant, filter);
        REQUIRE(of_call.size() == 1);
        const quietpass::ClipRow& row = of_call[0].row;
        CHECK(row.why == ClipWhy::kCall);
        CHECK(row.passage_id == call.passage_id);
        CHECK(call.heard.start_s - row.start_s == Approx(2.0).margin(0.01));
        CHECK(row.end_s - call.heard.end_s == Approx(2.0).margin(0.01));
        ++calls;
    }
    CHECK(calls >= 2);
    CHECK(std::count_if(clips.begin(), clips.end(),
                        [](const StoredClip& clip) { return clip.row.why == ClipWhy::kQuiet; }) == 3);
    for (const StoredClip& clip : clips) check_against_source(plant, clip, source);
    CHECK(files_agree(plant));

    // As people and machines see them.
    const Outcome shown = clips_command(plant, {"list"});
    REQUIRE(shown.exit_code == 0);
    for (const std::string& line : lines_of(shown.out)) CHECK(line.size() <= 80);
    const auto listed = nlohmann::json::parse(clips_command(plant, {"list", "--json", "--why", "quiet"}).out);
    CHECK(listed["clips"].size() == 3);
    CHECK(lines_of(clips_command(plant, {"list", "--csv", "--passage", "2"}).out).size() >= 2);
    CHECK(clips_command(plant, {"show", "1"}).out.find("as recorded") != std::string::npos);

    // A person deletes one.
    CHECK(clips_command(plant, {"delete", "1", "--by", "Pat"}).exit_code == 2);
    CHECK(clips_command(plant, {"delete", "1", "--by", "Pat", "--reason", " "}).exit_code == 2);
    CHECK(clips_command(plant, {"delete", "999", "--by", "Pat", "--reason", "speech"}).exit_code == 2);
    CHECK(clips_of(plant).size() == clips.size());
    CHECK(clips_command(plant, {"delete", "1", "--by", "Pat", "--reason", "speech"}).exit_code == 0);
    CHECK(clips_of(plant).size() == clips.size() - 1);
    CHECK(files_agree(plant));
    CHECK(clips_command(plant, {"show", "1"}).out.find("by Pat: speech") != std::string::npos);
}

TEST_CASE("score --clips keeps the same stretches and samples as the daemon, and twice the same records") {
    const Plant plant;
    append_settings(plant, "[clips]\nquiet_percent = 100\nmin_free_mb = 0\n");
    const Outcome run = run_program(plant.run_words("99"), plant.environment());
    INFO(run.err << plant.log());
    REQUIRE(run.exit_code == 0);
    const auto live = clips_of(plant);
    REQUIRE(live.size() >= 5);

    const auto score_to = [&](const std::filesystem::path& out) {
        const Outcome scored = run_program(
            {quietpass_program(), "score", "--clips", "--station", (plant.folder / "station.toml").string(),
             "--audio", (made_shift("short") / "audio.wav").string(), "--contacts",
             (made_shift("short") / "contacts.csv").string(), "--out", out.string()});
        INFO(scored.err);
        REQUIRE(scored.exit_code == 0);
        std::vector<StoredClip> clips;
        quietpass::Store(out / "shift.db").read([&](SQLite::Database& database) {
            clips = quietpass::read_clips(database, {});
        });
        return clips;
    };
    const std::filesystem::path out = plant.folder / "scored";
    const auto clips = score_to(out);
    const auto key = [](const StoredClip& clip) {
        return std::tuple(clip.row.why, clip.row.call_id.value_or(0), clip.row.passage_id.value_or(0));
    };
    REQUIRE(clips.size() == live.size());
    const Sound source = sound_of(made_shift("short") / "audio.wav");
    for (const StoredClip& clip : clips) {
        const auto same = std::find_if(live.begin(), live.end(),
                                       [&](const StoredClip& one) { return key(one) == key(clip); });
        INFO(clip.row.file);
        REQUIRE(same != live.end());
        // The contacts of the one came over Modbus, so quiet passages begin some milliseconds off.
        CHECK(clip.row.start_s == Approx(same->row.start_s).margin(0.1));
        CHECK(clip.row.end_s == Approx(same->row.end_s).margin(0.1));
        CHECK(quietpass::sha256_hex_of_file(out / clip.row.file) == clip.row.sha256);
        const Sound kept = sound_of(out / clip.row.file);
        const auto first = static_cast<std::ptrdiff_t>(std::llround(clip.row.start_s * source.rate_hz));
        CHECK(std::equal(kept.samples.begin(), kept.samples.end(), source.samples.begin() + first));
    }
    // Into the same folder: the earlier ones are replaced, and the records are the same.
    const auto hash = [&] {
        std::string last;
        quietpass::Store(out / "shift.db").read([&](SQLite::Database& database) {
            last = database.execAndGet("SELECT hex(hash) FROM ledger ORDER BY seq DESC LIMIT 1").getString();
        });
        return last;
    };
    const std::string before = hash();
    write_text(out / "clips" / "undated" / "of_before.flac", "x");
    CHECK(score_to(out).size() == clips.size());
    CHECK(hash() == before);
    CHECK_FALSE(std::filesystem::exists(out / "clips" / "undated" / "of_before.flac"));
    CHECK_FALSE(std::filesystem::exists(out / ".clips.part"));

    const Outcome refused = run_program(
        {quietpass_program(), "score", "--clips", "--station", (plant.folder / "station.toml").string(),
         "--audio", (made_shift("short") / "audio.wav").string(), "--contacts",
         (made_shift("short") / "contacts.csv").string(), "--out", (plant.folder / "out").string()});
    CHECK(refused.exit_code == 2);
    CHECK(lines_of(refused.err).size() == 1);
    CHECK(clips_of(plant).size() == live.size());
}

TEST_CASE("A call after the stun is kept as its alarm's clip, and everything else when it is asked for") {
    const Plant plant("", {}, "after_stun", "4");
    append_settings(plant,
                    "[clips]\nmin_free_mb = 0\nformat = \"flac16\"\nquiet_percent = 0\nlongest_s = 10\n"
                    "continuous_from = \"" +
                        quietpass::utc_text(quietpass::RealClock().utc_ns() - 60'000'000'000) +
                        "\"\ncontinuous_until = \"" +
                        quietpass::utc_text(quietpass::RealClock().utc_ns() + 3600'000'000'000) + "\"\n");
    const Outcome outcome = run_program(plant.run_words("30"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    ClipFilter filter;
    filter.why = ClipWhy::kAlarm;
    const auto alarms = clips_of(plant, filter);
    REQUIRE(alarms.size() == 2);
    for (const StoredClip& clip : alarms) {
        CHECK(clip.row.alarm_id == 1);
        CHECK(clip.row.call_id);
    }
    // The pieces follow each other without a hole, from the first sample to the last.
    filter.why = ClipWhy::kContinuous;
    const auto pieces = clips_of(plant, filter);
    REQUIRE(pieces.size() == 3);
    CHECK(pieces.front().row.start_s == 0.0);
    CHECK(pieces.back().row.end_s == 30.0);
    CHECK(pieces[1].row.start_s == pieces[0].row.end_s);
    CHECK(pieces[2].row.start_s == pieces[1].row.end_s);
    const Sound source = sound_of(made_shift("after_stun") / "audio.wav");
    for (const StoredClip& clip : clips_of(plant)) check_against_source(plant, clip, source);
}

TEST_CASE("With too little free space no clip is kept, an alarm says so, and the records go on") {
    const Plant plant;
    append_settings(plant, "[clips]\nmin_free_mb = 1000000000\n"); // more than any disk has
    const Outcome outcome = run_program(plant.run_words("99"), plant.environment());
    INFO(outcome.err << plant.log());
    REQUIRE(outcome.exit_code == 0);
    CHECK(plant.log().find("raised (clips_stopped)") != std::string::npos);
    CHECK(clips_of(plant).empty());
    CHECK(plant.shift_record()["scored"] == 5);
    CHECK(plant.shift_record()["vocal"] == 2);
}

TEST_CASE("A daemon that was killed leaves no half clip, and the next start goes on") {
    const Plant plant;
    append_settings(plant, "[clips]\nquiet_percent = 100\nmin_free_mb = 0\n");
    {
        Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
        const auto files = [&] {
            std::error_code ignored;
            std::size_t count = 0;
            for (const auto& entry :
                 std::filesystem::recursive_directory_iterator(plant.folder / "out" / "clips", ignored)) {
                if (entry.path().extension() == ".flac") ++count;
            }
            return count;
        };
        REQUIRE(wait_until([&] { return files() >= 2; }));
        daemon.signal(SIGKILL);
        daemon.wait();
    }
    for (const StoredClip& clip : clips_of(plant)) {
        CHECK(quietpass::sha256_hex_of_file(plant.folder / "out" / clip.row.file) == clip.row.sha256);
    }
    const Outcome next = run_program(plant.run_words("2"), plant.environment());
    INFO(next.err << plant.log());
    REQUIRE(next.exit_code == 0);
    CHECK(files_agree(plant));
    CHECK(clips_of(plant).size() >= 1);
}
