// What a shift record says of the program, profile and configuration behind it.
#pragma once

#include "daemon/profile_file.h"
#include "daemon/shift_book.h"

namespace quietpass {

// profile: null for a species that is never scored.
Provenance provenance_of(const StationSettings& settings, const ProfileFile* profile);

} // namespace quietpass
