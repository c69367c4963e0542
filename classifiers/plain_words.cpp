#include "classifiers/plain_words.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <numeric>
#include <tuple>
#include <utility>

#include "classifiers/measures.h"

namespace quietpass {
namespace {

std::string number(float value) {
    char text[40];
    // What training leaves as 3e-14 is nothing, and 1670 is no 1.67e+03.
    const double rounded = std::abs(value) < 1e-6F ? 0.0 : static_cast<double>(value);
    std::snprintf(text, sizeof text, std::abs(rounded) >= 1000 ? "%.0f" : "%.3g", rounded);
    return text;
}

std::string with_unit(std::string text, std::size_t measure) {
    const std::string_view unit = unit_in_words(measure);
    if (!unit.empty()) text.append(" ").append(unit);
    return text;
}

// "pitch, median" needs a stop before "over", "length of the sound" doesn't.
std::string leading(std::size_t measure) {
    const std::string words = measure_in_words(measure);
    return words.find_first_of(",;:") == std::string::npos ? words : words + ":";
}

bool starts_with(std::string_view text, std::string_view start) {
    return text.substr(0, start.size()) == start;
}

constexpr std::string_view kTheSame = "the same";

// "… surroundings, median" → "… surroundings": what "the same" takes over.
std::string_view without_statistic(std::string_view text) {
    const std::size_t comma = text.rfind(", ");
    if (comma == std::string_view::npos) return text;
    const std::string_view tail = text.substr(comma + 2);
    for (const std::string_view word : {"median", "mean", "middle half"}) {
        if (starts_with(tail, word) || tail.find("percentile") != std::string_view::npos)
            return text.substr(0, comma);
    }
    return text;
}

// Meanings that lean on the line before them in the list.
constexpr std::array<std::pair<std::string_view, std::string_view>, 3> kInFull = {{
    {"rolloff_iqr_oct", "how much the upper edge of the energy moves"},
    {"entropy_iqr", "how much the spread of the energy changes"},
    {"flux_iqr", "how uneven the change of the spectrum is"},
}};

// First that fits; by the start of a measure's name.
constexpr std::array<std::pair<std::string_view, Subject>, 41> kSubjectOf = {{
    {"voice_f0", Subject::kPitch},    {"voice_slope", Subject::kPitch},   {"voice_arch", Subject::kPitch},
    {"voice_range", Subject::kPitch}, {"voice_wander", Subject::kPitch},  {"voice_steady", Subject::kPitch},
    {"voice_move", Subject::kPitch},  {"voice_turns", Subject::kPitch},   {"voice_octave", Subject::kPitch},
    {"voice_tone", Subject::kTone},   {"voice_contrast", Subject::kTone}, {"voice_", Subject::kVoice},
    {"tonal_", Subject::kTone},       {"peak_count", Subject::kTone},     {"mod_", Subject::kRhythm},
    {"repeat", Subject::kRhythm},     {"quiet_around", Subject::kRhythm}, {"bang_", Subject::kRhythm},
    {"duration", Subject::kLevel},    {"attack", Subject::kLevel},        {"decay", Subject::kLevel},
    {"rise_", Subject::kLevel},       {"fall_", Subject::kLevel},         {"peak_at", Subject::kLevel},
    {"crest", Subject::kLevel},       {"level_", Subject::kLevel},        {"over_db", Subject::kLevel},
    {"over_median", Subject::kLevel}, {"before_", Subject::kLevel},       {"after_", Subject::kLevel},
    {"dip_", Subject::kLevel},        {"over_", Subject::kColour},        {"share_", Subject::kColour},
    {"bands_", Subject::kColour},     {"centroid", Subject::kColour},     {"formant", Subject::kColour},
    {"flat", Subject::kColour},       {"flux", Subject::kColour},         {"slope", Subject::kColour},
    {"hiss", Subject::kColour},       {"peak_", Subject::kColour},
}};

} // namespace

std::string measure_in_words(std::size_t measure) {
    const MeasureInfo& info = measure_info(measure);
    for (const auto& [id, text] : kInFull) {
        if (info.id == id) return std::string(text);
    }
    if (!starts_with(info.text, kTheSame)) return std::string(info.text);
    std::size_t before = measure;
    while (before > 0 && starts_with(measure_info(before).text, kTheSame)) --before;
    return std::string(without_statistic(measure_info(before).text)) +
           std::string(info.text.substr(kTheSame.size()));
}

std::string_view unit_in_words(std::size_t measure) {
    const std::string_view unit = measure_info(measure).unit;
    if (unit == "ratio") return "";
    if (unit == "1/s") return "a second";
    if (unit == "oct") return "octaves";
    if (unit == "oct/s") return "octaves a second";
    if (unit == "dB/oct") return "dB an octave";
    return unit;
}

std::string bound_in_words(const Condition& condition) {
    return (condition.above ? "over " : "at most ") + number(condition.threshold);
}

std::string plain_words(const Condition& condition) {
    return with_unit(leading(condition.measure) + " " + bound_in_words(condition), condition.measure);
}

std::vector<std::string> conditions_in_words(std::span<const Condition> all_of) {
    std::vector<std::string> out;
    std::vector<bool> said(all_of.size(), false);
    for (std::size_t i = 0; i < all_of.size(); ++i) {
        if (said[i]) continue;
        const Condition& condition = all_of[i];
        std::string words = plain_words(condition);
        for (std::size_t j = i + 1; j < all_of.size(); ++j) {
            const Condition& other = all_of[j];
            if (said[j] || other.measure != condition.measure || other.above == condition.above) continue;
            const Condition& low = condition.above ? condition : other;
            const Condition& high = condition.above ? other : condition;
            words = with_unit(leading(low.measure) + " " + bound_in_words(low) + ", " + bound_in_words(high),
                              low.measure);
            said[j] = true;
            break;
        }
        out.push_back(std::move(words));
    }
    return out;
}

Subject subject_of(std::size_t measure) {
    const std::string_view id = measure_info(measure).id;
    for (const auto& [start, subject] : kSubjectOf) {
        if (starts_with(id, start)) return subject;
    }
    return Subject::kColour;
}

Subject subject_of(const Term& term) {
    std::array<int, kSubjects> count{};
    for (const Condition& condition : term.all_of)
        ++count[static_cast<std::size_t>(subject_of(condition.measure))];
    return static_cast<Subject>(std::max_element(count.begin(), count.end()) - count.begin());
}

std::string_view name_of(Subject subject) {
    switch (subject) {
        case Subject::kVoice:
            return "the voice and its harmonics";
        case Subject::kPitch:
            return "the pitch and how it runs";
        case Subject::kTone:
            return "tone against noise";
        case Subject::kRhythm:
            return "rhythm, and what is around the sound";
        case Subject::kLevel:
            return "length, loudness, onset and end";
        case Subject::kColour:
            return "where the energy lies";
    }
    return "";
}

void arrange_by_subject(Scorecard& card, std::vector<double>& gains) {
    // Steps of one measure are one line; a term of several conditions is a line of its own.
    const std::size_t count = card.terms.size();
    std::array<double, kSubjects> sums{};
    std::vector<double> line_sums(kMeasureCount + count, 0.0);
    std::vector<std::size_t> subject(count);
    std::vector<std::size_t> line(count);
    for (std::size_t i = 0; i < count; ++i) {
        const Term& term = card.terms[i];
        subject[i] = static_cast<std::size_t>(subject_of(term));
        line[i] = term.all_of.size() == 1 ? term.all_of[0].measure : kMeasureCount + i;
        sums[subject[i]] += gains[i];
        line_sums[line[i]] += gains[i];
    }
    // By what carries most; by place where two carry the same.
    const auto key = [&](std::size_t i) {
        return std::tuple(-sums[subject[i]], subject[i], -line_sums[line[i]], line[i], -gains[i]);
    };
    std::vector<std::size_t> order(count);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
    std::vector<Term> terms;
    std::vector<double> moved;
    for (const std::size_t i : order) {
        terms.push_back(std::move(card.terms[i]));
        moved.push_back(gains[i]);
    }
    card.terms = std::move(terms);
    gains = std::move(moved);
}

} // namespace quietpass
