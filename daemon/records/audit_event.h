// One step of a hand audit that is scored animal by animal, as it was entered: begun, an animal scored, a score
// taken back, the whole given up. Never altered. Plain values; UTC in nanoseconds since 1970.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

enum class AuditStep { kStarted, kScored, kTakenBack, kGivenUp };
inline constexpr std::array kAuditSteps = {AuditStep::kStarted, AuditStep::kScored, AuditStep::kTakenBack,
                                           AuditStep::kGivenUp};

constexpr std::string_view name_of(AuditStep step) {
    constexpr std::string_view kNames[] = {"started", "scored", "taken_back", "given_up"};
    return kNames[static_cast<std::size_t>(step)];
}

struct AuditEvent {
    std::string id; // as its sender named it: what is sent twice counts once
    std::int64_t audit_id = 0;
    AuditStep step = AuditStep::kScored;
    std::int64_t utc_ns = 0;
    std::string by;
    std::string auditor;    // of a start: whose ears
    std::string takes_back; // the score that is taken back
    // Of a score: the passage, or the moment where it isn't known.
    std::optional<std::int64_t> shift_id;
    std::optional<std::int64_t> passage_id;
    std::optional<std::int64_t> at_utc_ns;
    bool vocal = false;
    std::string note;

    bool operator==(const AuditEvent&) const = default;
};

} // namespace quietpass
