// One byte range of a file (RFC 9110 section 14). Pure.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace quietpass {

struct ByteRange {
    enum class Kind { kWhole, kPart, kCantBe }; // kCantBe: answer 416
    Kind kind = Kind::kWhole;
    std::uint64_t first = 0;
    std::uint64_t bytes = 0;
};

// header: of the field Range; empty: whole. Several ranges and what is no range are kCantBe; a unit other
// than bytes is as if it were not there, as the standard has it.
ByteRange byte_range(const std::string& header, std::uint64_t size);

} // namespace quietpass
