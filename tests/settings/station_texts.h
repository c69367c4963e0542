// Texts of station files, and what reading one fails with. Tests only.
#pragma once

#include <catch2/catch.hpp>
#include <string>

#include "daemon/failure.h"
#include "daemon/settings/station_file.h"
#include "tests/test_folder.h"

namespace quietpass {

// What reading this text fails with; the folder's path is left out.
inline std::string failure_of(const std::string& text) {
    const TestFolder folder;
    const std::string path = folder.write("s.toml", text);
    try {
        read_station_file(path);
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        const std::string what = failure.what();
        CHECK(what.find('\n') == std::string::npos);
        REQUIRE(what.starts_with(path));
        return what.substr(folder.path().string().size() + 1);
    }
    return "no failure";
}

// The whole of a station, a line a key; line numbers below count in it.
inline const std::string kWhole = R"([station]
name = "box-2"
species = "cattle"
timezone = "America/Denver"
profile = "profiles/mine.toml"
[restraint]
kind = "box"
head_holder = true
at_stun_s = 0.5
shortest_s = 2
longest_s = 240
after_stun_s = 25.5
entry_before_s = 15
[[microphone]]
name = "head"
device = "hw:CARD=USB"
zone = "stun"
[[microphone]]
name = "race"
[[contact]]
role = "entered"
input = "modbus://127.0.0.1:1502/unit/1/discrete/0"
debounce_ms = 20
[[contact]]
role = "stunned"
name = "captive bolt"
input = "modbus://plc.example:502/unit/7/coil/12"
debounce_ms = 7.5
inverted = true
stuck_after_s = 90
[health]
silent_below_db = -75
silent_after_s = 3
clipped_share = 0.2
[scoring]
limit_percent = 5
basis = "a guide, an edition"
[[shift]]
name = "early"
start = "06:00"
end = "14:30"
days = ["mon", "sun"]
[[shift]]
name = "late"
start = "22:00"
end = "06:00"
)";

// The least a station can say.
inline const std::string kLeast = R"([station]
name = "box-2"
species = "cattle"
timezone = "UTC"
[restraint]
kind = "box"
[[microphone]]
name = "head"
[[contact]]
role = "entered"
[scoring]
limit_percent = 5.0
basis = "a guide, an edition"
)";

inline std::string with(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

struct Mistake {
    const char* from;
    const char* to;
    const char* message;
};

} // namespace quietpass
