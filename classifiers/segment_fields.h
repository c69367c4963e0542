// The fields of SegmentSettings by name, with their ranges and meanings: what a profile's text may say of
// them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "classifiers/segment_settings.h"

namespace quietpass {

struct SegmentField {
    std::string_view name;
    double SegmentSettings::*member;
    double low; // inclusive
    double high;
    std::string_view text;
};

std::span<const SegmentField> segment_fields();

// nullptr for an unknown name.
const SegmentField* segment_field(std::string_view name);
std::string segment_field_names();

// What must hold between the fields and doesn't, in words; nothing when all is well.
std::optional<std::string> wrong_segments(const SegmentSettings& segments);

} // namespace quietpass
