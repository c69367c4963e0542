// Counts heap allocations of this program, those of shared libraries included (not those of libraries under a
// sanitizer).
#pragma once

#include <cstddef>

namespace quietpass {

std::size_t allocations_so_far() noexcept;

} // namespace quietpass
