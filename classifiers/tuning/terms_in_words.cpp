#include "classifiers/tuning/terms_in_words.h"

#include <algorithm>
#include <cstdio>
#include <numeric>

#include "classifiers/plain_words.h"
#include "classifiers/tuning/dot_plot.h"
#include "classifiers/tuning/text_columns.h"

namespace quietpass::tuning {
namespace {

template <typename... Values>
std::string print(const char* format, Values... values) {
    char line[200];
    std::snprintf(line, sizeof line, format, values...);
    return line;
}

struct Part {
    std::string_view name;
    std::string terms;
    double gain = 0.0;
    double gives = 0.0;
    double takes = 0.0;
    int count = 0;
};

std::string term_text(const Term& term) {
    std::string words;
    for (const std::string& one : conditions_in_words(term.all_of))
        words += (words.empty() ? "" : "; and ") + one;
    return wrapped(print("  %+5.2f  ", term.points) + words, 9);
}

} // namespace

std::string terms_in_words(const Scorecard& unsorted, const std::vector<double>& unsorted_gains) {
    Scorecard card = unsorted;
    std::vector<double> gains = unsorted_gains;
    arrange_by_subject(card, gains);
    const double all = std::max(1e-12, std::accumulate(gains.begin(), gains.end(), 0.0));
    std::vector<Part> parts;
    for (std::size_t i = 0; i < card.terms.size(); ++i) {
        const std::string_view name = name_of(subject_of(card.terms[i]));
        if (parts.empty() || parts.back().name != name) parts.push_back({name, "", 0, 0, 0, 0});
        Part& part = parts.back();
        part.terms += term_text(card.terms[i]);
        part.gain += gains[i] / all;
        (card.terms[i].points > 0 ? part.gives : part.takes) += card.terms[i].points;
        ++part.count;
    }
    std::string out = print("Every sound starts with %+.2f points; from %.2f points it is a call.\n\n",
                            card.base, card.cut);
    out += "  what it goes by                              terms   gives  takes   carries\n";
    for (const Part& part : parts) {
        out += "  " + in_columns(std::string(part.name), 44) +
               print("%6d %+7.1f %+6.1f  %3.0f %% ", part.count, part.gives, part.takes, 100 * part.gain) +
               bar(part.gain, 8) + "\n";
    }
    out += "  carries: its part in what spreads the scores apart\n";
    for (const Part& part : parts) out += "\n  " + std::string(part.name) + "\n" + part.terms;
    return out;
}

} // namespace quietpass::tuning
