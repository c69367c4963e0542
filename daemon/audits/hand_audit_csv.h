// Reads what a person scored by ear (CSV; FORMATS.md has the columns), and writes the same.
//
// In: the file, the shifts and passages of the store, for checking that a numbered passage is there; the
// station's time for moments. Errors: Failure as DelimitedTable, with file and line: a row without passage
// and time or with both, a passage that isn't in the store or whose shift isn't said, an answer that is
// neither vocal nor silent, a passage that stands twice for one auditor. One thread.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "daemon/records/hand_audit.h"
#include "daemon/records/local_time.h"
#include "daemon/records/span_rows.h"

namespace quietpass {

std::vector<HandAuditRow> read_hand_audit(const std::filesystem::path& file, const SpanRows& rows,
                                          const LocalTime& time);

std::string hand_audit_csv(const std::vector<HandAuditRow>& rows);

} // namespace quietpass
