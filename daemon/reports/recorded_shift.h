// Reads the figures of a shift out of its record, the bytes of shift.json. Records of older programs lack
// some keys; what they lack is empty.
//
// Errors: Failure (exit 1) for text that is no such record. Pure; any thread.
#pragma once

#include <string>

#include "daemon/reports/report_figures.h"

namespace quietpass {

struct RecordedShift {
    PeriodFigures figures;
    std::string ended_by = "end";
    std::map<std::string, std::string> versions; // programs by name
};

RecordedShift recorded_shift(std::int64_t shift_id, const std::string& record_json);

// The same of an amendment's JSON (daemon/review/amendment.h).
ReportAmendment recorded_amendment(std::int64_t shift_id, const std::string& record_json);

} // namespace quietpass
