// Adds findings to the store, and with them what follows: when a shift was closed, an amendment with its next
// number, in the same transaction, so that no finding stands without the figure that it gives; and a row of
// `accesses` for each.
//
// Errors: Failure (exit 2) for a call that isn't there or a finding that can't be withdrawn; StoreError. One
// thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/records/finding.h"
#include "daemon/records/store.h"

namespace quietpass {

struct EnteredFindings {
    std::vector<std::int64_t> ids;
    std::optional<std::int64_t> amendment; // its number; none while the shift is open
};

// All of one shift. One amendment for all of them.
EnteredFindings enter_findings(Store& store, const std::vector<Finding>& findings);

// Takes one back; the shift is its.
EnteredFindings withdraw_finding(Store& store, std::int64_t finding_id, const std::string& by,
                                 std::int64_t utc_ns);

// An amendment of what findings there are, for findings that were entered before the shift was closed. Exit 2
// when the shift is open or has none.
std::int64_t amend_shift(Store& store, std::int64_t shift_id, const std::string& by, std::int64_t utc_ns);

} // namespace quietpass
