// A stretch of sound that is to be kept, and why. Times are station seconds; ids are of this run. Plain
// value.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "classifiers/speech_mask.h"
#include "daemon/records/clip_why.h"

namespace quietpass {

struct ClipWish {
    ClipWhy why = ClipWhy::kCall;
    double start_s = 0.0;
    double end_s = 0.0;
    std::int64_t shift_id = 0;
    std::optional<std::int64_t> passage_id;
    std::optional<std::int64_t> call_id;
    std::optional<std::int64_t> alarm_id;
    std::vector<CallSpan> calls{}; // that lie in it, as far as they are known when it is taken
};

} // namespace quietpass
