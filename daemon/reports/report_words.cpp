#include "daemon/reports/report_words.h"

#include <fmt/format.h>

#include <utility>

namespace quietpass {

std::string_view name_of(ReportLanguage language) {
    return language == ReportLanguage::kSpanish ? "es" : "en";
}

std::optional<ReportLanguage> report_language_named(std::string_view name) {
    for (const ReportLanguage language : {ReportLanguage::kEnglish, ReportLanguage::kSpanish}) {
        if (name_of(language) == name) return language;
    }
    return std::nullopt;
}

const ReportWords& report_words(ReportLanguage language) {
    return language == ReportLanguage::kSpanish ? spanish_report_words() : english_report_words();
}

std::string level_text(const std::string& factor, const std::string& level, const ReportWords& words) {
    if (factor == "lot" || factor == "note") return level;
    const LevelWords english;
    const LevelWords& own = words.levels;
    if (level == english.yes) return own.yes;
    if (level == english.no) return own.no;
    if (level == english.any) return own.any;
    std::string text = level;
    for (const auto& [from, to] : {std::pair(&english.under, &own.under), std::pair(&english.to, &own.to),
                                   std::pair(&english.or_more, &own.or_more)}) {
        if (const auto at = text.find(*from); at != std::string::npos) text.replace(at, from->size(), *to);
    }
    return text;
}

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
