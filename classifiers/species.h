// The species of a station and the kinds of call that are told apart.
//
// Counting rule (North American meat industry animal handling guide, interpretation notes 2011, 2022): cattle
// moos and bellows count; pig squeals count, grunts never; sheep are never scored.
#pragma once

#include <optional>
#include <string_view>

namespace quietpass {

enum class Species { kCattle, kPig, kSheep };

enum class CallKind { kMoo, kBellow, kSqueal, kGrunt };

// "cattle", "pig", "sheep"; nothing for any other word.
std::optional<Species> species_from(std::string_view word);
std::string_view name_of(Species species);
std::string_view name_of(CallKind kind);

// Whether a call of this kind may make a passage vocal: all but grunts.
constexpr bool can_count(CallKind kind) {
    return kind != CallKind::kGrunt;
}

} // namespace quietpass
