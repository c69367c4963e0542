// `quietpass calibrate` from a recording and from a device, and what `score` makes of it.

#include <sndfile.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>
#include <vector>

#include "tests/end_to_end/program.h"

using namespace quietpass::test;

namespace {

std::filesystem::path tone_file(const TestFolder& folder, const std::string& name, double hz,
                                double amplitude) {
    constexpr int kRate_hz = 48000;
    std::vector<float> samples(7 * kRate_hz);
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const double sine = std::sin(2.0 * std::numbers::pi * hz * static_cast<double>(i) / kRate_hz);
        samples[i] = static_cast<float>(std::clamp(amplitude * sine, -1.0, 1.0));
    }
    SF_INFO info{};
    info.samplerate = kRate_hz;
    info.channels = 1;
    info.format = SF_FORMAT_WAV | SF_FORMAT_PCM_24;
    const std::filesystem::path file = folder / name;
    SNDFILE* const sound = sf_open(file.c_str(), SFM_WRITE, &info);
    REQUIRE(sound != nullptr);
    sf_writef_float(sound, samples.data(), static_cast<sf_count_t>(samples.size()));
    sf_close(sound);
    return file;
}

std::vector<std::string> calibrate_words(const TestFolder& folder, std::vector<std::string> more) {
    std::vector<std::string> words = {quietpass_program(),
                                      "calibrate",
                                      "--station",
                                      (testdata() / "demo/station.toml").string(),
                                      "--out",
                                      (folder / "records").string()};
    words.insert(words.end(), more.begin(), more.end());
    return words;
}

std::vector<std::string> fields_of(const std::string& line) {
    std::vector<std::string> fields(1);
    for (const char letter : line) {
        if (letter == ',') {
            fields.emplace_back();
        } else {
            fields.back() += letter;
        }
    }
    return fields;
}

} // namespace

TEST_CASE("Two calibrations from recordings: sensitivity, serial, date and a drift that is warned of") {
    const TestFolder folder;
    const Outcome first = run_program(
        calibrate_words(folder, {"--audio", tone_file(folder, "a.wav", 1000.0, 0.1).string(), "--level",
                                 "114", "--serial", "1234", "--at", "2026-03-02T05:00:00Z"}));
    INFO(first.out << first.err);
    REQUIRE(first.exit_code == 0);
    CHECK(first.err.empty());
    for (const std::string& line : lines_of(first.out)) {
        if (line.find(folder.path().string()) == std::string::npos) CHECK(line.size() <= 80);
    }
    const Outcome second =
        run_program(calibrate_words(folder, {"--audio", tone_file(folder, "b.wav", 1003.0, 0.08).string(),
                                             "--level", "114", "--at", "2026-04-02T05:00:00Z"}));
    REQUIRE(second.exit_code == 0);
    CHECK(second.err.find("warning: microphone head drifted by +1.94 dB") != std::string::npos);
    const auto lines = lines_of(text_of(folder / "records/calibrations.csv"));
    REQUIRE(lines.size() == 3);
    CHECK(lines[1].starts_with("2026-03-02T05:00:00.000Z,box-1,head,134.00,,114.00,1234,-20.00,"));
    CHECK(std::stod(fields_of(lines[1])[8]) == Approx(1000.0).margin(1.0));
    CHECK(lines[2].starts_with("2026-04-02T05:00:00.000Z,box-1,head,135.94,1.94,114.00,,-21.94,"));
    CHECK(std::stod(fields_of(lines[2])[8]) == Approx(1003.0).margin(1.0));
}

TEST_CASE("A calibrator at its other level, and another calibrator, are told of in a line each") {
    const TestFolder folder;
    const std::string tone = tone_file(folder, "a.wav", 1000.0, 0.1).string();
    REQUIRE(run_program(calibrate_words(folder, {"--audio", tone, "--serial", "1234"})).exit_code == 0);
    const Outcome second =
        run_program(calibrate_words(folder, {"--audio", tone, "--serial", "1243", "--level", "114"}));
    INFO(second.err);
    REQUIRE(second.exit_code == 0);
    REQUIRE(lines_of(second.err).size() == 2);
    CHECK(second.err.find("drifted by +20.00 dB") != std::string::npos);
    CHECK(second.err.find("other of 94 and 114 dB") != std::string::npos);
    CHECK(second.err.find("calibrator 1243, the time before it was 1234") != std::string::npos);
}

TEST_CASE("What is no calibrator is refused in one line, and nothing is written") {
    const TestFolder folder;
    const auto refused = [&](const std::vector<std::string>& more, int exit_code, const std::string& said) {
        const Outcome outcome = run_program(calibrate_words(folder, more));
        INFO(outcome.err);
        CHECK(outcome.exit_code == exit_code);
        CHECK(outcome.out.empty());
        CHECK(lines_of(outcome.err).size() == 1);
        CHECK(outcome.err.find(said) != std::string::npos);
        CHECK_FALSE(std::filesystem::exists(folder / "records/calibrations.csv"));
    };
    const std::string good = tone_file(folder, "good.wav", 1000.0, 0.1).string();
    refused({"--audio", tone_file(folder, "a.wav", 440.0, 0.1).string()}, 1, "the tone is at 440 Hz");
    refused({"--audio", tone_file(folder, "b.wav", 1000.0, 1.2).string()}, 1, "clipped");
    refused({"--audio", good, "--microphone", "tail"}, 2, "which has head");
    refused({"--audio", good, "--channel", "2"}, 2, "no channel 2");
    refused({"--audio", good, "--at", "yesterday"}, 2, "expected a UTC time");
    refused({"--audio", good, "--level", "20"}, 2, "--level");
    refused({"--audio", (folder / "none.wav").string()}, 2, "isn't there");
}

TEST_CASE("A microphone is calibrated live through its device") {
    const TestFolder folder;
    const Outcome conf = run_program({MAKE_ASOUND_CONF, "--plugin", TEST_MICROPHONE, "--wav",
                                      tone_file(folder, "tone.wav", 1000.0, 0.1).string(), "--at-end", "loop",
                                      "--out", (folder / "asound.conf").string()});
    INFO(conf.err);
    REQUIRE(conf.exit_code == 0);
    const Outcome outcome =
        run_program(calibrate_words(folder, {"--steady", "2", "--within", "30", "--serial", "7"}),
                    {{"ALSA_CONFIG_PATH", (folder / "asound.conf").string()}, {"JACK_NO_START_SERVER", "1"}});
    INFO(outcome.out << outcome.err);
    REQUIRE(outcome.exit_code == 0);
    const auto lines = lines_of(text_of(folder / "records/calibrations.csv"));
    REQUIRE(lines.size() == 2);
    const auto fields = fields_of(lines[1]);
    CHECK(fields[2] == "head");
    CHECK(fields[3] == "114.00");
    CHECK(fields.back() == "device default");
}

TEST_CASE("Levels of a calibrated shift are dB SPL and everything else is the same") {
    const TestFolder folder;
    REQUIRE(run_program(calibrate_words(folder, {"--audio", tone_file(folder, "a.wav", 1000.0, 0.1).string(),
                                                 "--at", "2026-03-02T05:00:00Z", "--serial", "1234"}))
                .exit_code == 0);
    const auto score = [&](const std::string& out, std::vector<std::string> more) {
        std::vector<std::string> words = {quietpass_program(),
                                          "score",
                                          "--station",
                                          (testdata() / "demo/station.toml").string(),
                                          "--audio",
                                          (made_shift("short") / "audio.wav").string(),
                                          "--contacts",
                                          (made_shift("short") / "contacts.csv").string(),
                                          "--out",
                                          (folder / out).string()};
        words.insert(words.end(), more.begin(), more.end());
        const Outcome outcome = run_program(words);
        INFO(outcome.err);
        REQUIRE(outcome.exit_code == 0);
        return nlohmann::json::parse(text_of(folder / out / "shift.json"));
    };
    const std::string calibrations = (folder / "records/calibrations.csv").string();
    const auto plain = score("plain", {});
    const auto calibrated = score("calibrated", {"--calibrations", calibrations});
    const auto before = score("before", {"--calibrations", calibrations, "--start", "2026-03-01T05:00:00Z"});
    CHECK(plain["microphones"][0]["levels"] == "dB re full scale");
    CHECK(before["microphones"][0]["levels"] == "dB re full scale");
    CHECK(calibrated["microphones"][0]["levels"] == "dB SPL");
    CHECK(calibrated["microphones"][0]["sensitivity_db_spl_fs"] == 114.0);
    CHECK(calibrated["microphones"][0]["calibrated_at"] == "2026-03-02T05:00:00.000Z");
    CHECK(calibrated["microphones"][0]["calibrator_serial"] == "1234");
    CHECK(calibrated["hashes"].contains("calibrations"));
    CHECK_FALSE(before["hashes"].contains("calibrations"));
    CHECK(calibrated["vocal"] == plain["vocal"]);
    CHECK(text_of(folder / "plain/passages.csv") == text_of(folder / "calibrated/passages.csv"));

    const auto plain_calls = lines_of(text_of(folder / "plain/calls.csv"));
    const auto calls = lines_of(text_of(folder / "calibrated/calls.csv"));
    REQUIRE(calls.size() == plain_calls.size());
    REQUIRE(calls.size() >= 3);
    constexpr std::size_t kLevel = 7;
    CHECK(fields_of(calls[0])[kLevel] == "level_db");
    for (std::size_t i = 1; i < calls.size(); ++i) {
        CHECK(std::stod(fields_of(calls[i])[kLevel]) ==
              Approx(std::stod(fields_of(plain_calls[i])[kLevel]) + 114.0).margin(0.051));
    }
}
