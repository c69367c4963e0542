#include "classifiers/tuning/terms_in_words.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>

#include "classifiers/plain_words.h"
#include "classifiers/tuning/dot_plot.h"
#include "classifiers/tuning/text_columns.h"

namespace quietpass::tuning {
namespace {

struct Part {
    std::string_view name;
    std::vector<std::size_t> terms;
    double gain = 0.0;
    double gives = 0.0;
    double takes = 0.0;
};

std::string words_of_all(const Term& term) {
    std::string words;
    for (const std::string& one : conditions_in_words(term.all_of))
        words += (words.empty() ? "" : "; and ") + one;
    return words;
}

// One line of a subject: a term, or all steps of one measure.
struct Line {
    std::vector<const Term*> terms;
    double gain = 0.0;
};

// The most that the steps give together; where they only take, the most that they take.
double farthest(const Line& line) {
    if (line.terms.size() == 1) return line.terms[0]->points;
    double most = -1e300;
    double least = 1e300;
    for (const Term* edge : line.terms) {
        const float at = edge->all_of[0].threshold;
        for (const float value : {at, std::nextafter(at, 1e30F)}) {
            double sum = 0.0;
            for (const Term* term : line.terms) {
                const Condition& condition = term->all_of[0];
                if (condition.above == (value > condition.threshold)) sum += term->points;
            }
            most = std::max(most, sum);
            least = std::min(least, sum);
        }
    }
    return most > 0 ? most : least;
}

std::string line_text(const Line& line) {
    if (line.terms.size() == 1)
        return wrapped(printed("  %+6.2f  ", line.terms[0]->points) + words_of_all(*line.terms[0]), 10);
    std::vector<const Term*> steps = line.terms;
    std::stable_sort(steps.begin(), steps.end(), [](const Term* a, const Term* b) {
        const Condition& x = a->all_of[0];
        const Condition& y = b->all_of[0];
        return x.above != y.above ? x.above : x.threshold < y.threshold;
    });
    const std::size_t measure = steps[0]->all_of[0].measure;
    const std::string unit(unit_in_words(measure));
    std::string text = printed("  %+6.2f  ", farthest(line)) + measure_in_words(measure) +
                       (unit.empty() ? "" : ", " + unit) + ": ";
    for (std::size_t i = 0; i < steps.size(); ++i) {
        text +=
            (i > 0 ? "; " : "") + bound_in_words(steps[i]->all_of[0]) + printed(" %+.2f", steps[i]->points);
    }
    return wrapped(text, 10);
}

std::vector<Line> lines_of(const Part& part, const Scorecard& card, const std::vector<double>& gains) {
    std::vector<Line> lines;
    for (const std::size_t i : part.terms) {
        const Term& term = card.terms[i];
        const auto same = std::find_if(lines.begin(), lines.end(), [&](const Line& line) {
            return term.all_of.size() == 1 && line.terms[0]->all_of.size() == 1 &&
                   line.terms[0]->all_of[0].measure == term.all_of[0].measure;
        });
        Line& line = same != lines.end() ? *same : lines.emplace_back();
        line.terms.push_back(&term);
        line.gain += gains[i];
    }
    std::stable_sort(lines.begin(), lines.end(),
                     [](const Line& a, const Line& b) { return a.gain > b.gain; });
    return lines;
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
        if (parts.empty() || parts.back().name != name) parts.push_back({name, {}, 0, 0, 0});
        Part& part = parts.back();
        part.terms.push_back(i);
        part.gain += gains[i] / all;
        (card.terms[i].points > 0 ? part.gives : part.takes) += card.terms[i].points;
    }
    std::string out = printed("Every sound starts with %+.2f points; from %.2f points it is a call.\n\n",
                              card.base, card.cut);
    out += "  what it goes by                         terms  gives  takes  carries\n";
    for (const Part& part : parts) {
        out += "  " + in_columns(std::string(part.name), 38) +
               printed("%7d %+6.1f %+6.1f   %3.0f %%  ", static_cast<int>(part.terms.size()), part.gives,
                       part.takes, 100 * part.gain) +
               bar(part.gain, 8);
        out.erase(out.find_last_not_of(' ') + 1);
        out += "\n";
    }
    out += wrapped(
        "  gives, takes: all its points together. Carries: its part in what spreads the scores "
        "apart. Below, what carries most comes first; where a measure has several steps, the "
        "first figure is the most that they give together.",
        2);
    for (const Part& part : parts) {
        out += "\n  " + std::string(part.name) + "\n";
        for (const Line& line : lines_of(part, card, gains)) out += line_text(line);
    }
    return out;
}

} // namespace quietpass::tuning
