#include "daemon/web/figure_json.h"

#include <map>

namespace quietpass {

nlohmann::ordered_json figures_json(const Statement& statement, const nlohmann::ordered_json& coverage) {
    auto json = nlohmann::ordered_json::parse(written(statement, Output::kJson));
    if (!coverage.is_null()) json["coverage"] = coverage;
    return json;
}

nlohmann::ordered_json coverage_json(const std::vector<PassageFacts>& facts) {
    std::map<std::string, std::int64_t> excluded;
    std::int64_t scored = 0;
    for (const PassageFacts& passage : facts) {
        if (passage.scored())
            ++scored;
        else
            ++excluded[passage.row.passage.excluded];
    }
    return {{"passages", facts.size()}, {"scored", scored}, {"excluded", excluded}};
}

} // namespace quietpass
