// profile_to_toml and words_of: the writing half of profile_text.h.
#include <cmath>
#include <cstdio>
#include <set>

#include "classifiers/measures.h"
#include "classifiers/plain_words.h"
#include "classifiers/profile_steps.h"
#include "classifiers/profile_text.h"
#include "classifiers/segment_fields.h"

namespace quietpass {

namespace {

std::string as_decimal(double value) {
    char text[40];
    std::snprintf(text, sizeof text, "%.6g", value);
    std::string out(text);
    // TOML tells whole numbers from others: points and thresholds always read as the latter.
    if (out.find_first_of(".e") == std::string::npos) out += ".0";
    return out;
}

std::string signed_number(double value) {
    const std::string text = as_decimal(value);
    return value < 0.0 ? text : "+" + text;
}

std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (c == '\n') {
            out += "\\n";
        } else if (c == '\t') {
            out += "\\t";
        } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
            char code[8];
            std::snprintf(code, sizeof code, "\\u%04X", static_cast<unsigned>(static_cast<unsigned char>(c)));
            out += code;
        } else {
            out += c;
        }
    }
    return out + "\"";
}

std::string spoken(const Condition& c) {
    return std::string(measure_info(c.measure).id) + (c.above ? " > " : " <= ") + as_decimal(c.threshold);
}

std::string when(const std::vector<Condition>& conditions) {
    std::string out = "when = [";
    for (std::size_t i = 0; i < conditions.size(); ++i) {
        if (i > 0) out += ", ";
        out += in_quotes(spoken(conditions[i]));
    }
    return out + "]";
}

std::string meaning(const std::vector<Condition>& conditions) {
    std::string out;
    for (std::size_t i = 0; i < conditions.size(); ++i) {
        const MeasureInfo& info = measure_info(conditions[i].measure);
        if (i > 0 && conditions[i].measure == conditions[i - 1].measure) continue;
        if (!out.empty()) out += "; ";
        out += measure_in_words(conditions[i].measure);
        if (!info.unit.empty()) out += ", " + std::string(info.unit);
    }
    return out;
}

// Whether terms of one subject stand together, so that a line can name it.
bool by_subject(const std::vector<Term>& terms) {
    std::set<Subject> seen;
    for (std::size_t i = 0; i < terms.size(); ++i) {
        const Subject subject = subject_of(terms[i]);
        if ((i == 0 || subject != subject_of(terms[i - 1])) && !seen.insert(subject).second) return false;
    }
    return true;
}

template <typename Numbers, typename Text>
std::string list_of(const Numbers& numbers, Text text) {
    std::string out = "[";
    for (std::size_t i = 0; i < numbers.size(); ++i) out += (i > 0 ? ", " : "") + text(numbers[i]);
    return out + "]";
}

// Measures of one subject together, in the order of the terms.
std::string steps_text(const Scorecard& card) {
    const std::vector<MeasureSteps> all = steps_of(card.terms);
    if (all.empty()) return "";
    std::string out =
        "\n# What the value of a measure adds: points[0] up to at[0], points[1] over it, and so on.\nsteps = "
        "[\n";
    std::set<Subject> said;
    for (const MeasureSteps& first : all) {
        const Subject subject = subject_of(first.measure);
        if (!said.insert(subject).second) continue;
        out += "  # " + std::string(name_of(subject)) + "\n";
        for (const MeasureSteps& steps : all) {
            if (subject_of(steps.measure) != subject) continue;
            out += "  { measure = " + in_quotes(measure_info(steps.measure).id) +
                   ", at = " + list_of(steps.at, [](float at) { return as_decimal(at); }) + ", points = " +
                   list_of(steps.points,
                           [](double points) { return points == 0.0 ? "0" : signed_number(points); }) +
                   " },  # " + meaning({{steps.measure, true, 0.0F}}) + "\n";
        }
    }
    return out + "]\n";
}

std::string terms_text(const Scorecard& card) {
    std::vector<Term> terms = card.terms;
    std::erase_if(terms, [](const Term& term) { return term.all_of.size() == 1; });
    if (terms.empty()) return "";
    std::string out = "\n# What several conditions together add.\nterms = [\n";
    const bool subjects = by_subject(terms);
    for (std::size_t i = 0; i < terms.size(); ++i) {
        const Term& term = terms[i];
        if (subjects && (i == 0 || subject_of(term) != subject_of(terms[i - 1])))
            out += "  # " + std::string(name_of(subject_of(term))) + "\n";
        out += "  { points = " + signed_number(term.points) + ", " + when(term.all_of) + " },  # " +
               meaning(term.all_of) + "\n";
    }
    return out + "]\n";
}

std::string card_text(const Scorecard& card) {
    std::string out = "\n[[card]]\nkind = " + in_quotes(name_of(card.kind)) + "\n";
    out += "base = " + as_decimal(card.base) + "  # points every sound starts with\n";
    out += "cut = " + as_decimal(card.cut) + "  # with this many or more it is a call\n";
    if (!card.gates.empty()) {
        out += "\n# Outside these ranges a sound is never a call.\ngates = [\n";
        for (const Gate& gate : card.gates) {
            const MeasureInfo& info = measure_info(gate.measure);
            out += "  { measure = " + in_quotes(info.id);
            if (std::isfinite(gate.low)) out += ", min = " + as_decimal(gate.low);
            if (std::isfinite(gate.high)) out += ", max = " + as_decimal(gate.high);
            out += " },  # " + std::string(info.text) +
                   (info.unit.empty() ? "" : ", " + std::string(info.unit)) + "\n";
        }
        out += "]\n";
    }
    if (!card.kind_rules.empty()) {
        out += "\n# Its kind, where it is another: the first that fits.\nkinds = [\n";
        for (const KindRule& rule : card.kind_rules) {
            out += "  { kind = " + in_quotes(name_of(rule.kind)) + ", " + when(rule.all_of) + " },  # " +
                   meaning(rule.all_of) + "\n";
        }
        out += "]\n";
    }
    out += steps_text(card);
    return out + terms_text(card);
}

} // namespace

std::string words_of(const Condition& condition) {
    char threshold[40];
    std::snprintf(threshold, sizeof threshold, "%.3g", static_cast<double>(condition.threshold));
    return std::string(measure_info(condition.measure).id) + (condition.above ? ">" : "<=") + threshold;
}

std::string profile_to_toml(const Profile& profile) {
    std::string out =
        "# How quietpass tells this species' calls from other sounds.\n"
        "# Each sound is measured. It starts with `base` points; each measure adds what stands for its "
        "value, each\n"
        "# term whose conditions all hold its points. A sum at or above `cut`, within the gates, is a call. "
        "The\n"
        "# cards are tried in order; the first that passes names the kind.\n\n";
    out += "species = " + in_quotes(name_of(profile.species)) + "\n";
    out += "name = " + in_quotes(profile.name) + "\n";
    out += "version = " + in_quotes(profile.version) + "\n";
    if (!profile.about.empty()) out += "about = " + in_quotes(profile.about) + "\n";
    out += "\n# How sounds are cut out of the stream.\n[segments]\n";
    for (const SegmentField& field : segment_fields()) {
        out += std::string(field.name) + " = " + as_decimal(profile.segments.*(field.member)) + "  # " +
               std::string(field.text) + "\n";
    }
    for (const Scorecard& card : profile.cards) out += card_text(card);
    return out;
}

} // namespace quietpass
