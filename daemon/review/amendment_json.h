// What is written when findings come after a shift was closed: its record stays as it is, and an amendment
// with the next number has the machine's figure and the reviewed one side by side.
//
// FORMATS.md has the keys. The same input gives the same bytes. Errors: Failure (exit 1) for a shift record
// that can't be read. Pure; any thread.
#pragma once

#include <string>
#include <vector>

#include "daemon/records/amendment.h"
#include "daemon/records/finding.h"
#include "daemon/records/store_rows.h"

namespace quietpass {

// `findings`: all of the store or of the shift, withdrawn ones among them.
std::string amendment_json(const ShiftRows& shift, const std::vector<Finding>& findings,
                           const Amendment& amendment);

} // namespace quietpass
