// A person's answers against the machine's, for the same passages.
//
// Rows with a time are matched to the passage whose entry is nearest, one to one, none further off than
// `entry_within_s`. Only passages that the machine scored are compared; the others are told with their
// reason. Sensitivity and specificity are the machine's, with the person taken as right, who can be wrong
// too: read agreement, kappa and PABAK beside them. Pure; any thread.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"
#include "daemon/records/hand_audit.h"
#include "daemon/records/span_rows.h"

namespace quietpass {

struct ComparedRow {
    HandAuditRow row;
    std::optional<SpanPassage> passage; // nothing: none was found
    // Why it is not compared: "no_passage", "twice" (the auditor's other row was nearer), or the passage's
    // own reason; empty: it is.
    std::string left_out;
};

struct AuditFigures {
    std::string auditor;          // empty: all rows
    evaluation::Confusion counts; // the person's vocal ones are the positives
    std::optional<Interval> agreement;
    std::optional<double> positive_agreement; // 2·both / (person's + machine's)
    std::optional<Interval> positive_agreement_interval;
    std::optional<Interval> kappa;
    std::optional<Interval> pabak;
    std::optional<Interval> sensitivity;
    std::optional<Interval> specificity;
};

struct AuditComparison {
    std::vector<ComparedRow> rows;
    std::vector<AuditFigures> figures;            // all; then, with several, by auditor
    std::map<std::string, std::int64_t> left_out; // by reason
    // The person's watch less the machine's, median of rows matched by time.
    std::optional<double> clock_offset_s;
};

AuditComparison compare_audit(const std::vector<HandAuditRow>& audit, const SpanRows& machine,
                              double entry_within_s, double confidence = kUsualConfidence);

} // namespace quietpass
