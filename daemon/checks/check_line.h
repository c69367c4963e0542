// One thing of a station that was looked at: how it is, and what to do where it is not as it should be. Plain
// values.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace quietpass {

enum class CheckState {
    kGood,
    kLook, // it works; a person should look at it
    kBad   // something is not recorded, not told or not proven until it is mended
};

struct CheckLine {
    CheckState state = CheckState::kGood;
    std::string what;  // "disk", "microphone head"
    std::string words; // one line: how it is
    std::string to_do; // one line; empty where it is good
};
using CheckLines = std::vector<CheckLine>;

constexpr std::string_view name_of(CheckState state) {
    return state == CheckState::kGood ? "good" : state == CheckState::kLook ? "look" : "bad";
}

} // namespace quietpass
