#include "classifiers/measures.h"

#include <cassert>

namespace quietpass {

namespace {

constexpr std::array<MeasureInfo, kMeasureCount> kInfos{{
#define QUIETPASS_INFO(enumerator, id, unit, text) MeasureInfo{id, unit, text},
    QUIETPASS_MEASURES(QUIETPASS_INFO)
#undef QUIETPASS_INFO
}};

} // namespace

const MeasureInfo& measure_info(std::size_t index) {
    assert(index < kMeasureCount);
    return kInfos[index];
}

std::optional<std::size_t> measure_index(std::string_view id) {
    for (std::size_t i = 0; i < kMeasureCount; ++i) {
        if (kInfos[i].id == id) return i;
    }
    return std::nullopt;
}

} // namespace quietpass
