// What a person found on hearing a call that the machine heard. It stands beside the machine's word and never
// over it. A plain value; the words are those of the table `findings` (daemon/records/FORMATS.md).
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

enum class CallVerdict { kCall, kNotACall, kOtherSpecies, kPerson, kCannotTell };

inline constexpr std::array<std::string_view, 5> kCallVerdictNames = {"call", "not_a_call", "other_species",
                                                                      "person", "cannot_tell"};

// What happened just before the call, as seen or heard; not a cause.
enum class JustBefore { kProd, kSlip, kPressure, kEdge, kHeldLong, kMissedStun, kAlone, kUnknown };

inline constexpr std::array<std::string_view, 8> kJustBeforeNames = {
    "prod", "slip", "pressure", "edge", "held_long", "missed_stun", "alone", "unknown"};

std::string_view name_of(CallVerdict verdict);
std::string_view name_of(JustBefore just_before);

// Nothing for another word.
std::optional<CallVerdict> call_verdict_named(std::string_view word);
std::optional<JustBefore> just_before_named(std::string_view word);

// true: the sound was no call of the station's species, so it can't make an animal vocal.
constexpr bool turns_down(CallVerdict verdict) {
    return verdict == CallVerdict::kNotACall || verdict == CallVerdict::kOtherSpecies ||
           verdict == CallVerdict::kPerson;
}

struct Finding {
    std::int64_t id = 0; // given by the store
    std::int64_t shift_id = 0;
    std::int64_t call_id = 0;
    CallVerdict verdict = CallVerdict::kCannotTell;
    std::optional<JustBefore> just_before; // none: not said
    std::string note;
    std::string by;
    std::int64_t utc_ns = 0;
    std::optional<std::int64_t>
        withdraws; // the id of a finding that this row takes back; then it says nothing else
};

} // namespace quietpass
