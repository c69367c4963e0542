// How the routes write what may be missing, and read numbers and texts. Within daemon/web only.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "daemon/records/utc_text.h"
#include "daemon/web/api_route.h"

namespace quietpass {

// The longest texts that are taken [bytes].
inline constexpr std::size_t kLongestName = 200;
inline constexpr std::size_t kLongestText = 2000;
inline constexpr std::size_t kLongestMoment = 40;

inline Json utc_or_null(const std::optional<std::int64_t>& utc_ns) {
    return utc_ns ? Json(utc_text(*utc_ns)) : Json();
}

template <typename T>
Json or_null(const std::optional<T>& value) {
    return value ? Json(*value) : Json();
}

inline Json text_or_null(const std::string& text) {
    return text.empty() ? Json() : Json(text);
}

// A number of a row, from 1 on; 422 for anything else.
std::int64_t id_in(const Json& value, const char* field);

} // namespace quietpass
