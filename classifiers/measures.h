// The named measures of a sound: names, units, plain meanings. What each one is stands in measure_list.h; how
// it is computed, in sound_measures.h.
//
// Shapes: every sound has all kMeasureCount measures, finite floats, in the order of enum Measure.
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>

#include "classifiers/measure_list.h"

namespace quietpass {

enum Measure : std::size_t {
#define QUIETPASS_ENUMERATOR(enumerator, id, unit, text) enumerator,
    QUIETPASS_MEASURES(QUIETPASS_ENUMERATOR)
#undef QUIETPASS_ENUMERATOR
        kMeasureCount
};

struct MeasureInfo {
    std::string_view id;   // "voice_s", as in profiles
    std::string_view unit; // "s"; empty for a plain number
    std::string_view text; // "length of the voice"
};

using MeasureRow = std::array<float, kMeasureCount>;

// index < kMeasureCount.
const MeasureInfo& measure_info(std::size_t index);

// The index of a measure by its name; nothing for an unknown name.
std::optional<std::size_t> measure_index(std::string_view id);

} // namespace quietpass
