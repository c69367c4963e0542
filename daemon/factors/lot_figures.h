// The share of vocal animals lot by lot, and over all lots with an interval that allows for lots differing.
// Only scored passages whose lot is known. Pure; any thread.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "classifiers/statistics/cluster_share.h"
#include "daemon/factors/passage_facts.h"

namespace quietpass {

struct LotRow {
    std::string lot;
    std::optional<std::int64_t> first_utc_ns; // its first animal
    evaluation::Rate vocal;
    std::optional<Interval> interval; // animals taken as independent
};

struct LotFigures {
    std::vector<LotRow> lots; // in order of the first animal
    evaluation::Rate all;
    std::optional<Interval> plain;
    std::optional<statistics::ClusterShare> allowing_for_lots; // from two lots up
    std::int64_t without_lot = 0;                              // scored passages
};

LotFigures lot_figures(std::span<const PassageFacts> facts, double confidence = kUsualConfidence);

} // namespace quietpass
