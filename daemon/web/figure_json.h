// What a command says by --json, as an answer of the page; and what of a span was scored. Within daemon/web
// only. Pure; any thread.
#pragma once

#include <nlohmann/json.hpp>
#include <vector>

#include "daemon/factors/passage_facts.h"
#include "daemon/tables/table.h"

namespace quietpass {

// `coverage`: null leaves it out.
nlohmann::ordered_json figures_json(const Statement& statement,
                                    const nlohmann::ordered_json& coverage = nullptr);

nlohmann::ordered_json coverage_json(const std::vector<PassageFacts>& facts);

} // namespace quietpass
