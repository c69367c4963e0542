#include "tests/standards/golden_table.h"

#include <fstream>
#include <sstream>
#include <stdexcept>

namespace quietpass::golden {

std::vector<std::vector<std::string>> read_table(const std::string& file) {
    std::ifstream in(std::string(GOLDEN_FOLDER) + "/" + file);
    std::string line;
    std::getline(in, line);
    std::getline(in, line);
    std::vector<std::vector<std::string>> rows;
    while (std::getline(in, line)) {
        std::istringstream fields(line);
        rows.emplace_back();
        for (std::string field; std::getline(fields, field, ',');) rows.back().push_back(field);
    }
    if (rows.empty()) throw std::runtime_error("no golden values in " + file);
    return rows;
}

} // namespace quietpass::golden
