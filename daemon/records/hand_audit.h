// A sample of animals that a person scored by ear, as it was handed in. Never altered; a wrong one is
// withdrawn by another. Plain values; UTC in nanoseconds since 1970.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace quietpass {

struct HandAuditRow {
    std::optional<std::int64_t> shift_id;
    std::optional<std::int64_t> passage_id; // of that shift
    std::optional<std::int64_t> at_utc_ns;  // when the animal entered, by the auditor's watch; without an id
    bool vocal = false;
    std::string auditor;
    std::string note;
};

struct HandAudit {
    std::int64_t id = 0; // from 1; given by the store
    std::int64_t added_utc_ns = 0;
    std::string file;                      // its name
    std::string sha256;                    // of its bytes, lower-case hex
    std::optional<std::int64_t> withdraws; // the audit that this takes back; such a one has no rows
    std::vector<HandAuditRow> rows;
};

} // namespace quietpass
