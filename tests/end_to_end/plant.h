// A made shift's world as the daemon meets it: the microphone is the ALSA plug-in of tests/capture, the
// contacts are a Modbus TCP device on a free port of loopback, both in step. Tests only; one thread.
#pragma once

#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "tests/end_to_end/program.h"

namespace quietpass::test {

// How many seconds of the plant pass in one.
#ifdef QUIETPASS_SANITIZED
inline constexpr const char* kSpeed = "1";
#else
inline constexpr const char* kSpeed = "8";
#endif

// The short shift's world: its contacts on a free port, its microphone, its station file.
struct Plant {
    explicit Plant(const std::string& faults = "", std::vector<std::string> contact_faults = {},
                   const std::string& shift = "short", std::string speed_wished = kSpeed)
        : speed(std::move(speed_wished)) {
        std::vector<std::string> make_conf = {MAKE_ASOUND_CONF,
                                              "--plugin",
                                              TEST_MICROPHONE,
                                              "--wav",
                                              (made_shift(shift) / "audio.wav").string(),
                                              "--speed",
                                              speed,
                                              "--started-file",
                                              (folder / "started").string(),
                                              "--out",
                                              (folder / "asound.conf").string()};
        if (!faults.empty()) make_conf.insert(make_conf.end(), {"--faults", faults});
        const Outcome conf = run_program(make_conf);
        INFO(conf.err);
        REQUIRE(conf.exit_code == 0);

        std::vector<std::string> words = {MODBUS_CONTACTS,
                                          "--station",
                                          (testdata() / "demo/station.toml").string(),
                                          "--contacts",
                                          (made_shift(shift) / "contacts.csv").string(),
                                          "--port",
                                          "0",
                                          "--started-file",
                                          (folder / "started").string(),
                                          "--linger",
                                          "120"};
        words.insert(words.end(), contact_faults.begin(), contact_faults.end());
        contacts.emplace(words, Environment{}, folder / "contacts.out", folder / "contacts.err");
        REQUIRE(wait_until([this] { return contacts->out().find('\n') != std::string::npos; }));
        const std::string listening = contacts->out();
        const std::string at = "127.0.0.1:";
        const std::string port = listening.substr(listening.find(at) + at.size(),
                                                  listening.find('\n') - listening.find(at) - at.size());
        contacts_port = std::stoi(port);
        std::string station = text_of(testdata() / "demo/station.toml");
        for (auto found = station.find("1502"); found != std::string::npos; found = station.find("1502")) {
            station.replace(found, 4, port);
        }
        write_text(folder / "station.toml", station);
    }

    std::vector<std::string> run_words(const std::string& for_s = "") const {
        std::vector<std::string> words = {quietpass_program(),
                                          "run",
                                          "--station",
                                          (folder / "station.toml").string(),
                                          "--out",
                                          (folder / "out").string(),
                                          "--log",
                                          (folder / "log").string(),
                                          "--speed",
                                          speed,
                                          "--show"};
        if (!for_s.empty()) words.insert(words.end(), {"--for", for_s});
        return words;
    }

    Environment environment() const {
        return {{"ALSA_CONFIG_PATH", (folder / "asound.conf").string()}, {"JACK_NO_START_SERVER", "1"}};
    }

    std::string log() const { return text_of(folder / "log"); }

    std::filesystem::path shift_folder() const {
        for (const auto& entry : std::filesystem::directory_iterator(folder / "out" / "shifts"))
            return entry.path();
        return {};
    }

    nlohmann::json shift_record() const {
        return nlohmann::json::parse(text_of(shift_folder() / "shift.json"));
    }

    // Lines printed for passages so far.
    static std::size_t passages_shown(const Background& daemon) {
        const auto lines = lines_of(daemon.out());
        return lines.empty() ? 0 : lines.size() - 1;
    }

    std::string speed;
    TestFolder folder;
    std::optional<Background> contacts;
    int contacts_port = 0;
};

} // namespace quietpass::test
