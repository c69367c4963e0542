// Counts heap allocations of this program, those of shared libraries included.
#pragma once

#include <cstddef>

namespace quietpass {

std::size_t allocations_so_far() noexcept;

} // namespace quietpass
