#include "daemon/records/finding.h"

#include <algorithm>

namespace quietpass {

namespace {

template <typename Value, std::size_t Size>
std::optional<Value> named(const std::array<std::string_view, Size>& names, std::string_view word) {
    const auto found = std::find(names.begin(), names.end(), word);
    if (found == names.end()) return std::nullopt;
    return static_cast<Value>(found - names.begin());
}

} // namespace

std::string_view name_of(CallVerdict verdict) {
    return kCallVerdictNames[static_cast<std::size_t>(verdict)];
}

std::string_view name_of(JustBefore just_before) {
    return kJustBeforeNames[static_cast<std::size_t>(just_before)];
}

std::optional<CallVerdict> call_verdict_named(std::string_view word) {
    return named<CallVerdict>(kCallVerdictNames, word);
}

std::optional<JustBefore> just_before_named(std::string_view word) {
    return named<JustBefore>(kJustBeforeNames, word);
}

} // namespace quietpass
