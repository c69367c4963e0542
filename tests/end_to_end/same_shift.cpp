// same-shift A B --edges-within S: whether two folders with calls.csv and passages.csv tell of the same
// shift. Calls must be the same to the byte. Passages must be the same in all but their times, which may
// differ by S seconds, because contacts are polled. Exit 0: the same. 1: not, with one line for each
// difference. 2: bad usage.

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

namespace {

std::vector<std::string> lines_of(const std::string& path) {
    std::ifstream file(path);
    if (!file) {
        std::fprintf(stderr, "same-shift: %s can't be read\n", path.c_str());
        std::exit(2);
    }
    std::vector<std::string> lines;
    for (std::string line; std::getline(file, line);) lines.push_back(line);
    return lines;
}

// None of the fields of passages.csv holds a comma.
std::vector<std::string> fields_of(const std::string& line) {
    std::vector<std::string> fields(1);
    for (const char letter : line) {
        if (letter == ',') {
            fields.emplace_back();
        } else {
            fields.back() += letter;
        }
    }
    return fields;
}

bool is_time(const std::string& column) {
    return column.size() > 2 && column.substr(column.size() - 2) == "_s";
}

bool same_field(const std::string& column, const std::string& a, const std::string& b, double within_s) {
    if (!is_time(column) || a.empty() || b.empty()) return a == b;
    return std::abs(std::stod(a) - std::stod(b)) <= within_s;
}

int differences(const std::string& file, const std::vector<std::string>& a, const std::vector<std::string>& b,
                double within_s) {
    int count = 0;
    if (a.size() != b.size()) {
        std::printf("%s: %zu lines and %zu lines\n", file.c_str(), a.size(), b.size());
        ++count;
    }
    const std::vector<std::string> columns = fields_of(a.at(0));
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
        if (a[i] == b[i]) continue;
        const auto fields_a = fields_of(a[i]);
        const auto fields_b = fields_of(b[i]);
        bool same = within_s > 0.0 && fields_a.size() == columns.size() && fields_b.size() == columns.size();
        for (std::size_t k = 0; same && k < columns.size(); ++k) {
            same = same_field(columns[k], fields_a[k], fields_b[k], within_s);
        }
        if (same) continue;
        std::printf("%s line %zu:\n  %s\n  %s\n", file.c_str(), i + 1, a[i].c_str(), b[i].c_str());
        ++count;
    }
    return count;
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 5 || std::string(argv[3]) != "--edges-within") {
        std::fputs("same-shift: usage: same-shift A B --edges-within SECONDS\n", stderr);
        return 2;
    }
    const std::string a = argv[1];
    const std::string b = argv[2];
    int count = differences("calls.csv", lines_of(a + "/calls.csv"), lines_of(b + "/calls.csv"), 0.0);
    count += differences("passages.csv", lines_of(a + "/passages.csv"), lines_of(b + "/passages.csv"),
                         std::strtod(argv[4], nullptr));
    return count == 0 ? 0 : 1;
}
