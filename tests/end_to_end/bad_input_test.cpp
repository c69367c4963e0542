// What a user may get wrong: one clear line on standard error, the right exit code, nothing half-written.

#include <sndfile.h>
#include <sys/mount.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "tests/end_to_end/program.h"

using namespace quietpass::test;

namespace {

const char* const kStation = R"(
[station]
name = "box"
species = "cattle"
timezone = "UTC"
[restraint]
kind = "box"
[[microphone]]
name = "head"
device = "default"
[[contact]]
role = "entered"
input = "modbus://127.0.0.1:1502/unit/1/discrete/0"
[[contact]]
role = "stunned"
input = "modbus://127.0.0.1:1502/unit/1/discrete/1"
[scoring]
limit_percent = 5.0
basis = "a guide, an edition"
)";

void write_sound(const std::filesystem::path& file, const std::vector<float>& samples, int format) {
    SF_INFO info{};
    info.samplerate = 16000;
    info.channels = 1;
    info.format = format;
    SNDFILE* sound = sf_open(file.c_str(), SFM_WRITE, &info);
    REQUIRE(sound != nullptr);
    REQUIRE(sf_write_float(sound, samples.data(), static_cast<sf_count_t>(samples.size())) ==
            static_cast<sf_count_t>(samples.size()));
    sf_close(sound);
}

// A folder with everything `score` needs, all of it good.
struct Bench {
    Bench() {
        write_text(folder / "station.toml", kStation);
        write_text(folder / "contacts.csv",
                   "time_s,input,state\n1.000,entered,1\n1.500,entered,0\n4.000,stunned,1\n");
        std::vector<float> samples(16000 * 8);
        for (std::size_t i = 0; i < samples.size(); ++i) {
            samples[i] = 0.01F * static_cast<float>(std::sin(0.37 * static_cast<double>(i * i % 977)));
        }
        write_sound(folder / "audio.wav", samples, SF_FORMAT_WAV | SF_FORMAT_PCM_16);
    }

    Outcome score(const std::string& out = "", const Environment& environment = {}) const {
        return run_program(
            {quietpass_program(), "score", "--station", (folder / "station.toml").string(), "--audio",
             (folder / "audio.wav").string(), "--contacts", (folder / "contacts.csv").string(), "--out",
             out.empty() ? (folder / "out").string() : out},
            environment);
    }

    void replace_in_station(const std::string& what, const std::string& with) const {
        std::string text = text_of(folder / "station.toml");
        REQUIRE(text.find(what) != std::string::npos);
        text.replace(text.find(what), what.size(), with);
        write_text(folder / "station.toml", text);
    }

    bool wrote_nothing() const {
        return !std::filesystem::exists(folder / "out") || std::filesystem::is_empty(folder / "out");
    }

    TestFolder folder;
};

void check_refusal(const Outcome& outcome, int exit_code, const std::vector<std::string>& must_say) {
    INFO(outcome.err);
    CHECK(outcome.exit_code == exit_code);
    CHECK(lines_of(outcome.err).size() == 1);
    CHECK(outcome.out.empty());
    for (const std::string& words : must_say) {
        INFO(words);
        CHECK(outcome.err.find(words) != std::string::npos);
    }
}

} // namespace

TEST_CASE("The bench itself is good: score accepts it") {
    const Bench bench;
    const Outcome outcome = bench.score();
    INFO(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(
        outcome.err ==
        "score: calls of waiting animals can't be told from the restrained animal's and may count: there is "
        "one microphone, a second up the race would tell them\n");
    CHECK_FALSE(bench.wrote_nothing());
}

TEST_CASE("Bad usage is one line and exit 2") {
    check_refusal(run_program({quietpass_program()}), 2, {"quietpass --help"});
    check_refusal(run_program({quietpass_program(), "score"}), 2, {"--station", "score --help"});
    check_refusal(run_program({quietpass_program(), "score", "--staton", "x"}), 2, {"score --help"});
    check_refusal(run_program({quietpass_program(), "sing"}), 2, {"quietpass --help"});
    check_refusal(run_program({quietpass_program(), "verify", "a\x1bword"}), 2, {"a\\u001Bword"});
    check_refusal(run_program({quietpass_program(), "verify", "--records", "no\nfolder"}), 2,
                  {"no\\nfolder: no record store is there"});
    const Bench bench;
    check_refusal(
        run_program({quietpass_program(), "score", "--station", (bench.folder / "station.toml").string(),
                     "--audio", (bench.folder / "audio.wav").string(), "--contacts",
                     (bench.folder / "contacts.csv").string(), "--out", (bench.folder / "out").string(),
                     "--start", "yesterday"}),
        2, {"--start", "yesterday", "2026-03-02T13:00:00Z"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("An unknown key of the station file is named with its line, and what was meant") {
    const Bench bench;
    bench.replace_in_station("head\"\ndevice", "head\"\ndevise");
    check_refusal(bench.score(), 2, {"station.toml:10", "devise", "device"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("A wrong type and an impossible value of the station file are named with what was expected") {
    const Bench bench;
    bench.replace_in_station("limit_percent = 5.0", "limit_percent = \"five\"");
    check_refusal(bench.score(), 2, {"station.toml:18", "limit_percent"});
    bench.replace_in_station("limit_percent = \"five\"", "limit_percent = 500");
    check_refusal(bench.score(), 2, {"station.toml:18", "limit_percent", "500"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("A species without a profile is said, with where it was looked for") {
    const Bench bench;
    std::filesystem::create_directory(bench.folder / "none");
    check_refusal(bench.score("", {{"QUIETPASS_PROFILES", (bench.folder / "none").string()}}), 2,
                  {"cattle", (bench.folder / "none").string(), "quietpass tune"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("A profile with an unknown measure is named with its line") {
    const Bench bench;
    write_text(
        bench.folder / "odd.toml",
        "species = \"cattle\"\nname = \"odd\"\nversion = \"1\"\n[[card]]\nkind = \"moo\"\nbase = 0.0\ncut = "
        "0.5\nterms = [ { when = [\"loudness_of_boots > 3\"], points = 1.0 } ]\n");
    bench.replace_in_station("timezone = \"UTC\"", "timezone = \"UTC\"\nprofile = \"odd.toml\"");
    check_refusal(bench.score(), 2, {"odd.toml:8", "loudness_of_boots"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("Audio that isn't there, is empty, is no audio or is cut short is refused") {
    const Bench bench;
    std::filesystem::rename(bench.folder / "audio.wav", bench.folder / "whole.wav");
    check_refusal(bench.score(), 2, {"audio.wav"});
    write_text(bench.folder / "audio.wav", "");
    check_refusal(bench.score(), 1, {"audio.wav"});
    write_text(bench.folder / "audio.wav", "this is a letter, and no sound at all; it goes on for a while");
    check_refusal(bench.score(), 1, {"audio.wav"});
    const std::string whole = text_of(bench.folder / "whole.wav");
    write_text(bench.folder / "audio.wav", whole.substr(0, whole.size() / 2));
    check_refusal(bench.score(), 1, {"audio.wav"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("Samples that are not numbers are refused, with where they are") {
    const Bench bench;
    std::vector<float> samples(16000, 0.01F);
    samples[8000] = std::numeric_limits<float>::quiet_NaN();
    write_sound(bench.folder / "audio.wav", samples, SF_FORMAT_WAV | SF_FORMAT_FLOAT);
    check_refusal(bench.score(), 1, {"audio.wav"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("Contacts out of order or of an unknown role are named with their line") {
    const Bench bench;
    write_text(bench.folder / "contacts.csv", "time_s,input,state\n4.0,entered,1\n1.0,stunned,1\n");
    check_refusal(bench.score(), 1, {"contacts.csv:3"});
    write_text(bench.folder / "contacts.csv", "time_s,input,state\n1.0,entered,1\n2.0,trapdoor,1\n");
    check_refusal(bench.score(), 1, {"contacts.csv:3", "trapdoor"});
    write_text(bench.folder / "contacts.csv", "time_s,input,state\n1.0,entered,maybe\n");
    check_refusal(bench.score(), 1, {"contacts.csv:2", "maybe"});
    std::filesystem::remove(bench.folder / "contacts.csv");
    check_refusal(bench.score(), 2, {"contacts.csv"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("More channels than microphones are refused, with both numbers") {
    const Bench bench;
    const std::string audio = (bench.folder / "audio.wav").string();
    check_refusal(
        run_program({quietpass_program(), "score", "--station", (bench.folder / "station.toml").string(),
                     "--audio", audio, "--audio", audio, "--contacts",
                     (bench.folder / "contacts.csv").string(), "--out", (bench.folder / "out").string()}),
        2, {"1 [[microphone]]", "2 channels"});
    CHECK(bench.wrote_nothing());
}

TEST_CASE("An output folder that can't be made or written is refused before the work") {
    const Bench bench;
    check_refusal(bench.score("/proc/quietpass"), 1, {"/proc/quietpass"});
    check_refusal(bench.score((bench.folder / "audio.wav").string()), 1, {"audio.wav"});
}

TEST_CASE("A full disk is one line, exit 1, and nothing half-written") {
    const Bench bench;
    const std::filesystem::path disk = bench.folder / "disk";
    std::filesystem::create_directory(disk);
    if (mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=24k") != 0) {
        WARN("skipped: a small disk can only be mounted as root");
        return;
    }
    const Outcome outcome = bench.score((disk / "out").string());
    std::vector<std::string> left;
    if (std::filesystem::exists(disk / "out")) {
        for (const auto& entry : std::filesystem::directory_iterator(disk / "out"))
            left.push_back(entry.path());
    }
    umount2(disk.c_str(), MNT_DETACH);
    check_refusal(outcome, 1, {(disk / "out").string()});
    CHECK(left.empty());
}

TEST_CASE(
    "detect refuses a species it doesn't judge, and names files it can't read while reading the others") {
    const Bench bench;
    check_refusal(run_program({quietpass_program(), "detect", "--species", "sheep",
                               (bench.folder / "audio.wav").string()}),
                  2, {"sheep", "cattle or pig"});
    check_refusal(run_program({quietpass_program(), "detect", "--species", "goat",
                               (bench.folder / "audio.wav").string()}),
                  2, {"goat", "cattle or pig"});
    write_text(bench.folder / "letter.wav", "no sound at all");
    const Outcome outcome =
        run_program({quietpass_program(), "detect", "--species", "cattle",
                     (bench.folder / "letter.wav").string(), (bench.folder / "audio.wav").string()});
    CHECK(outcome.exit_code == 1);
    CHECK(outcome.err.find("letter.wav") != std::string::npos);
    CHECK(lines_of(outcome.out).at(0) == "file\tstart_s\tend_s\tkind\tscore");
}

TEST_CASE("run refuses a microphone that isn't there and lists those that are") {
    const Bench bench;
    write_text(bench.folder / "asound.conf", "pcm.default { type null }\n");
    bench.replace_in_station("device = \"default\"", "device = \"the one in the drawer\"");
    const Outcome outcome = run_program(
        {quietpass_program(), "run", "--station", (bench.folder / "station.toml").string(), "--out",
         (bench.folder / "out").string()},
        {{"ALSA_CONFIG_PATH", (bench.folder / "asound.conf").string()}, {"JACK_NO_START_SERVER", "1"}});
    INFO(outcome.err);
    CHECK(outcome.exit_code == 2);
    CHECK(outcome.err.find("the one in the drawer") != std::string::npos);
}

namespace {

// Of a help's "Subcommands:", the first word of each line.
std::vector<std::string> subcommands_in(const std::string& help) {
    std::vector<std::string> names;
    bool inside = false;
    for (const std::string& line : lines_of(help)) {
        if (line.starts_with("Subcommands:")) {
            inside = true;
        } else if (inside && line.size() > 3 && line.starts_with("  ") && line[2] != ' ') {
            names.push_back(line.substr(2, line.find(' ', 2) - 2));
        } else if (inside && !line.starts_with("  ")) {
            break;
        }
    }
    return names;
}

std::size_t check_help(const std::vector<std::string>& command) {
    std::vector<std::string> words = command;
    words.emplace_back("--help");
    const Outcome outcome = run_program(words);
    REQUIRE(outcome.exit_code == 0);
    for (const std::string& line : lines_of(outcome.out)) {
        INFO(command.back() << ": " << line);
        CHECK(std::count_if(line.begin(), line.end(), [](char c) { return (c & 0xC0) != 0x80; }) <= 80);
    }
    std::size_t looked_at = 1;
    for (const std::string& name : subcommands_in(outcome.out)) {
        std::vector<std::string> deeper = command;
        deeper.push_back(name);
        looked_at += check_help(deeper);
    }
    return looked_at;
}

} // namespace

TEST_CASE("The help of each command fits 80 columns") {
    CHECK(check_help({quietpass_program()}) > 40);
}
