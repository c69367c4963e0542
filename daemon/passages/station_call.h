// A call in its place: which passage, which phase, counted or not and why. Times are station seconds.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "classifiers/heard_call.h"
#include "daemon/passages/passage.h"

namespace quietpass {

// How the reason of a call begins that is a waiting animal's: it has no passage and never counts.
inline constexpr std::string_view kWaitingAnimals = "a waiting animal's";

struct StationCall {
    std::int64_t id = 0;    // from 1, in order of onset
    std::string microphone; // the clearest, when several heard it
    HeardCall heard;
    std::optional<std::int64_t> passage_id; // none: no animal in the restrainer, or a waiting animal's call
    std::optional<double> passage_entered_s;
    std::optional<Phase> phase;
    bool counted = false;
    // The loudest bang and hiss in the second before its onset; empty where there was none.
    std::optional<double> bang_before_db;
    std::optional<double> hiss_before_db;
    std::string reason; // why it counted or not, in plain words: "no animal in the restrainer", …

    bool waiting() const { return reason.starts_with(kWaitingAnimals); }
};

} // namespace quietpass
