#include "daemon/reports/report_words.h"

#include <fmt/format.h>

namespace quietpass {

std::string counted(std::int64_t number, const Counted& word) {
    return std::to_string(number) + " " + (number == 1 ? word.one : word.many);
}

std::vector<std::string> cautions_of(const ReportFigures& figures, const ReportWords& words) {
    std::vector<std::string> cautions;
    if (figures.all.vocal.percent) {
        cautions.push_back(words.caution_ears);
        cautions.push_back(words.caution_lots);
    }
    if (figures.all.vocal.percent && figures.all.whose_told_by == "nothing") {
        cautions.push_back(words.caution_whose);
    }
    std::int64_t open = 0;
    std::string killed;
    std::string amended;
    for (const ReportShift& shift : figures.shifts) {
        if (!shift.closed) ++open;
        if (shift.amendment) amended += (amended.empty() ? "" : ", ") + std::to_string(shift.shift_id);
        if (shift.ended_by == "killed")
            killed += (killed.empty() ? "" : ", ") + std::to_string(shift.shift_id);
    }
    if (!killed.empty()) cautions.push_back(fmt::format(fmt::runtime(words.caution_killed), killed));
    if (!amended.empty()) cautions.push_back(fmt::format(fmt::runtime(words.caution_amended), amended));
    if (open > 0) {
        cautions.push_back(fmt::format(fmt::runtime(words.caution_open), counted(open, words.shift)));
    }
    cautions.push_back(words.caution_measures);
    return cautions;
}

} // namespace quietpass
