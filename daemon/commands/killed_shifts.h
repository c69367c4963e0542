// Shifts that a killed run left open: closed at the start of the next one with what the store has of them,
// and their files written. Throws Failure when the store or the folder can't be used.
#pragma once

#include <functional>
#include <string>

#include "daemon/shift_book.h"

namespace quietpass {

// Returns how many there were.
std::size_t close_killed_shifts(const StationSettings& settings, const Provenance& provenance, Store& store,
                                const ShiftBook::OnClosed& on_closed);

} // namespace quietpass
