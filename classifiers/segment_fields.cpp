#include "classifiers/segment_fields.h"

#include <array>

namespace quietpass {

namespace {

using S = SegmentSettings;
constexpr std::array<SegmentField, 11> kFields{{
    {"low_hz", &S::low_hz, 30.0, 4000.0, "lower edge of the band in which level is watched"},
    {"high_hz", &S::high_hz, 60.0, 8000.0, "upper edge of it"},
    {"f0_low_hz", &S::f0_low_hz, 50.0, 2500.0, "lowest pitch that is looked for"},
    {"f0_high_hz", &S::f0_high_hz, 60.0, 2600.0, "highest pitch"},
    {"level_on_db", &S::level_on_db, 0.1, 60.0,
     "a sound starts when the loudest half-octaves rise this far over the floor"},
    {"level_off_db", &S::level_off_db, 0.1, 60.0, "and ends below this"},
    {"tone_on", &S::tone_on, 0.1, 100.0,
     "a tone starts when its harmonics stand out this far, units of 3 dB"},
    {"tone_off", &S::tone_off, 0.1, 100.0, "and ends below this"},
    {"shortest_s", &S::shortest_s, 0.03, 2.0, "shorter sounds are dropped"},
    {"longest_s", &S::longest_s, 0.1, 8.0, "longer sounds are cut; steady ones dropped"},
    {"join_s", &S::join_s, 0.0, 1.0, "pauses up to this are bridged"},
}};

} // namespace

std::span<const SegmentField> segment_fields() {
    return kFields;
}

const SegmentField* segment_field(std::string_view name) {
    for (const SegmentField& field : kFields) {
        if (field.name == name) return &field;
    }
    return nullptr;
}

std::string segment_field_names() {
    std::string names;
    for (const SegmentField& field : kFields) names += (names.empty() ? "" : ", ") + std::string(field.name);
    return names;
}

std::optional<std::string> wrong_segments(const SegmentSettings& s) {
    for (const SegmentField& field : kFields) {
        if (!(s.*(field.member) >= field.low && s.*(field.member) <= field.high)) {
            return std::string(field.name) + " within its range";
        }
    }
    if (2.0 * s.low_hz > s.high_hz) return "high_hz at least twice low_hz";
    if (s.f0_low_hz >= s.f0_high_hz) return "f0_low_hz below f0_high_hz";
    if (s.level_off_db > s.level_on_db) return "level_off_db no greater than level_on_db";
    if (s.tone_off > s.tone_on) return "tone_off no greater than tone_on";
    if (s.shortest_s >= s.longest_s) return "shortest_s below longest_s";
    return std::nullopt;
}

} // namespace quietpass
