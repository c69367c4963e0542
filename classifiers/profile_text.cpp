#include "classifiers/profile_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <functional>
#include <initializer_list>
#include <limits>
#include <optional>
#include <utility>

#include "classifiers/measures.h"
#include "classifiers/one_line.h"
#include "classifiers/profile_steps.h"
#include "classifiers/segment_fields.h"
#include "classifiers/toml_text.h"

namespace quietpass {

namespace {

constexpr float kInfinity = std::numeric_limits<float>::infinity();

int line_of(const toml::node& node) {
    return static_cast<int>(node.source().begin.line);
}

std::string type_of(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::table:
            return "a table";
        case toml::node_type::array:
            return "an array";
        case toml::node_type::string:
            return "text";
        case toml::node_type::integer:
            return "a whole number";
        case toml::node_type::floating_point:
            return "a number";
        case toml::node_type::boolean:
            return "true or false";
        default:
            return "a date or time";
    }
}

// A table of the profile, with its place for messages.
struct Place {
    const toml::table& table;
    std::string path; // "card[1].terms[3]"; empty at the top

    std::string key(std::string_view name) const {
        return path.empty() ? std::string(name) : path + "." + std::string(name);
    }
    const toml::node* find(std::string_view name) const { return table.get(name); }

    const toml::node& need(std::string_view name, const char* expected) const {
        if (const toml::node* node = find(name)) return *node;
        throw ProfileError(line_of(table), key(name),
                           std::string("expected ") + expected + ", found nothing");
    }

    void only(std::initializer_list<std::string_view> known) const {
        for (const auto& [name, node] : table) {
            bool found = false;
            for (const std::string_view k : known) found = found || k == name.str();
            if (found) continue;
            std::string list;
            for (const std::string_view k : known) list += (list.empty() ? "" : ", ") + std::string(k);
            throw ProfileError(line_of(node), key(name.str()), "unknown key; expected one of: " + list);
        }
    }
};

[[noreturn]] void wrong_type(const toml::node& node, const std::string& key, const char* expected) {
    throw ProfileError(line_of(node), key, std::string("expected ") + expected + ", found " + type_of(node));
}

std::string text_at(const Place& place, std::string_view name, const char* expected) {
    const toml::node& node = place.need(name, expected);
    const auto text = node.value_exact<std::string>();
    if (!text) wrong_type(node, place.key(name), expected);
    return *text;
}

double number_of(const toml::node& node, const std::string& key, const char* expected) {
    if (!node.is_number()) wrong_type(node, key, expected);
    const double value = *node.value<double>();
    if (!std::isfinite(value)) throw ProfileError(line_of(node), key, "expected a finite number");
    return value;
}

const toml::array* array_at(const Place& place, std::string_view name, const char* expected) {
    const toml::node* node = place.find(name);
    if (node == nullptr) return nullptr;
    if (!node->is_array()) wrong_type(*node, place.key(name), expected);
    return node->as_array();
}

template <class Use>
void each_table(const Place& place, std::string_view name, const char* expected, Use use) {
    const toml::array* array = array_at(place, name, expected);
    if (array == nullptr) return;
    for (std::size_t i = 0; i < array->size(); ++i) {
        const toml::node& node = *array->get(i);
        const std::string path = place.key(name) + "[" + std::to_string(i + 1) + "]";
        if (!node.is_table()) wrong_type(node, path, expected);
        use(Place{*node.as_table(), path});
    }
}

std::size_t measure_named(std::string_view name, int line, const std::string& key) {
    if (const auto index = measure_index(name)) return *index;
    throw ProfileError(
        line, key, "unknown measure \"" + std::string(name) + "\"; expected one of those in measure_list.h");
}

// "voice_s > 0.4"
Condition condition_of(const std::string& text, int line, const std::string& key) {
    constexpr const char* kShape = "expected \"measure > number\" or \"measure <= number\", found \"";
    const auto wrong = [&]() { return ProfileError(line, key, kShape + text + "\""); };
    const std::size_t sign = text.find_first_of("><=");
    if (sign == std::string::npos) throw wrong();
    const std::size_t name_end = text.find_last_not_of(' ', sign == 0 ? 0 : sign - 1);
    const std::size_t name_begin = text.find_first_not_of(' ');
    if (sign == 0 || name_end == std::string::npos || name_begin > name_end) throw wrong();
    Condition condition;
    std::size_t number = sign + 1;
    if (text.compare(sign, 2, "<=") == 0) {
        condition.above = false;
        ++number;
    } else if (text[sign] != '>') {
        throw wrong();
    }
    condition.measure =
        measure_named(std::string_view(text).substr(name_begin, name_end - name_begin + 1), line, key);
    const char* begin = text.c_str() + number;
    char* end = nullptr;
    condition.threshold = std::strtof(begin, &end);
    while (*end == ' ') ++end;
    if (end == begin || *end != '\0' || !std::isfinite(condition.threshold)) throw wrong();
    return condition;
}

std::vector<Condition> conditions_at(const Place& place) {
    constexpr const char* kExpected = "a list of 1 to 3 conditions";
    const toml::node& node = place.need("when", kExpected);
    const toml::array* array = node.as_array();
    if (array == nullptr) wrong_type(node, place.key("when"), kExpected);
    if (array->empty() || array->size() > 3) {
        throw ProfileError(line_of(node), place.key("when"),
                           std::string("expected ") + kExpected + ", found " + std::to_string(array->size()));
    }
    std::vector<Condition> conditions;
    for (const toml::node& item : *array) {
        const auto text = item.value_exact<std::string>();
        if (!text) wrong_type(item, place.key("when"), "conditions as text");
        conditions.push_back(condition_of(*text, line_of(item), place.key("when")));
    }
    return conditions;
}

CallKind kind_at(const Place& place, Species species) {
    const char* expected = species == Species::kPig ? "\"squeal\" or \"grunt\"" : "\"moo\" or \"bellow\"";
    const std::string word = text_at(place, "kind", expected);
    const std::array<CallKind, 2> kinds = species == Species::kPig
                                              ? std::array{CallKind::kSqueal, CallKind::kGrunt}
                                              : std::array{CallKind::kMoo, CallKind::kBellow};
    for (const CallKind kind : kinds) {
        if (name_of(kind) == word) return kind;
    }
    throw ProfileError(line_of(*place.find("kind")), place.key("kind"),
                       std::string("expected ") + expected + ", found \"" + word + "\"");
}

Gate gate_at(const Place& place) {
    place.only({"measure", "min", "max"});
    Gate gate{0, -kInfinity, kInfinity};
    const std::string name = text_at(place, "measure", "the name of a measure");
    gate.measure = measure_named(name, line_of(*place.find("measure")), place.key("measure"));
    const toml::node* low = place.find("min");
    const toml::node* high = place.find("max");
    if (low == nullptr && high == nullptr) {
        throw ProfileError(line_of(place.table), place.path, "expected min, max or both, found neither");
    }
    if (low != nullptr) gate.low = static_cast<float>(number_of(*low, place.key("min"), "a number"));
    if (high != nullptr) gate.high = static_cast<float>(number_of(*high, place.key("max"), "a number"));
    if (gate.low > gate.high) {
        throw ProfileError(line_of(*low), place.key("min"), "expected min no greater than max");
    }
    return gate;
}

std::vector<double> numbers_at(const Place& place, std::string_view name) {
    constexpr const char* kExpected = "a list of numbers";
    const toml::node& node = place.need(name, kExpected);
    const toml::array* array = node.as_array();
    if (array == nullptr) wrong_type(node, place.key(name), kExpected);
    std::vector<double> out;
    for (const toml::node& item : *array) out.push_back(number_of(item, place.key(name), kExpected));
    return out;
}

MeasureSteps steps_at(const Place& place) {
    place.only({"measure", "at", "points"});
    MeasureSteps steps;
    const std::string name = text_at(place, "measure", "the name of a measure");
    steps.measure = measure_named(name, line_of(*place.find("measure")), place.key("measure"));
    for (const double at : numbers_at(place, "at")) steps.at.push_back(static_cast<float>(at));
    steps.points = numbers_at(place, "points");
    const auto wrong = [&](const char* key, const char* expected) {
        return ProfileError(line_of(*place.find(key)), place.key(key), expected);
    };
    if (steps.at.empty() ||
        std::adjacent_find(steps.at.begin(), steps.at.end(), std::greater_equal<>()) != steps.at.end())
        throw wrong("at", "expected one threshold or more, each above the one before it");
    if (steps.points.size() != steps.at.size() + 1)
        throw wrong("points", "expected one number more than there are thresholds in `at`");
    return steps;
}

Scorecard card_at(const Place& place, Species species) {
    place.only({"kind", "base", "cut", "gates", "kinds", "steps", "terms"});
    Scorecard card;
    card.kind = kind_at(place, species);
    card.base = number_of(place.need("base", "a number of points"), place.key("base"), "a number of points");
    card.cut = number_of(place.need("cut", "a number of points"), place.key("cut"), "a number of points");
    each_table(place, "gates", "a list of { measure, min, max }",
               [&](const Place& p) { card.gates.push_back(gate_at(p)); });
    each_table(place, "kinds", "a list of { kind, when }", [&](const Place& p) {
        p.only({"kind", "when"});
        card.kind_rules.push_back({kind_at(p, species), conditions_at(p)});
    });
    each_table(place, "steps", "a list of { measure, at, points }",
               [&](const Place& p) { card.base += add_terms(steps_at(p), card.terms); });
    each_table(place, "terms", "a list of { when, points }", [&](const Place& p) {
        p.only({"when", "points"});
        Term term;
        term.all_of = conditions_at(p);
        term.points =
            number_of(p.need("points", "a number of points"), p.key("points"), "a number of points");
        card.terms.push_back(std::move(term));
    });
    if (card.terms.empty()) {
        throw ProfileError(line_of(place.table), place.key("terms"),
                           "expected at least one of steps or terms, found none");
    }
    return card;
}

SegmentSettings segments_at(const Place& place) {
    SegmentSettings segments;
    for (const auto& [name, node] : place.table) {
        const SegmentField* field = segment_field(name.str());
        if (field == nullptr) {
            throw ProfileError(line_of(node), place.key(name.str()),
                               "unknown key; expected one of: " + segment_field_names());
        }
        const double value = number_of(node, place.key(name.str()), "a number");
        if (value < field->low || value > field->high) {
            char range[64];
            std::snprintf(range, sizeof range, "expected %g to %g", field->low, field->high);
            throw ProfileError(line_of(node), place.key(name.str()), range);
        }
        segments.*(field->member) = value;
    }
    if (const auto wrong = wrong_segments(segments)) {
        throw ProfileError(line_of(place.table), place.path, "expected " + *wrong);
    }
    return segments;
}

} // namespace

ProfileError::ProfileError(int line_, const std::string& key_, const std::string& expected_)
    : std::runtime_error(in_one_line("line " + std::to_string(line_) + ": " +
                                     (key_.empty() ? "" : key_ + ": ") + expected_)),
      line(line_),
      key(in_one_line(key_)),
      expected(in_one_line(expected_)) {}

Profile profile_from_toml(std::string_view text) {
    toml::table table;
    try {
        table = toml_from(text);
    } catch (const toml::parse_error& error) {
        throw ProfileError(static_cast<int>(error.source().begin.line), "",
                           "not TOML: " + std::string(error.description()));
    }
    const Place top{table, ""};
    top.only({"species", "name", "version", "about", "segments", "card"});
    Profile profile;
    const std::string word = text_at(top, "species", "\"cattle\" or \"pig\"");
    const auto species = species_from(word);
    if (!species || *species == Species::kSheep) {
        throw ProfileError(line_of(*top.find("species")), "species",
                           "expected \"cattle\" or \"pig\", found \"" + word + "\"");
    }
    profile.species = *species;
    profile.name = text_at(top, "name", "a name");
    profile.version = text_at(top, "version", "a version as text");
    if (top.find("about") != nullptr) profile.about = text_at(top, "about", "text");
    if (const toml::node* node = top.find("segments")) {
        if (!node->is_table()) wrong_type(*node, "segments", "a table");
        profile.segments = segments_at({*node->as_table(), "segments"});
    }
    each_table(top, "card", "a list of cards ([[card]])",
               [&](const Place& p) { profile.cards.push_back(card_at(p, profile.species)); });
    if (profile.cards.empty() || profile.cards.size() > 4) {
        throw ProfileError(1, "card",
                           "expected 1 to 4 cards ([[card]]), found " + std::to_string(profile.cards.size()));
    }
    return profile;
}

} // namespace quietpass
