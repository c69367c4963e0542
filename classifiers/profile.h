// What makes a sound a call of one species: how sounds are cut out, and one scorecard or more. A plain value.
//
// A sound is judged by the cards in their order; the first card that passes names the kind. A pig profile has
// a card for squeals and, after it, one for grunts: grunts are recorded and never count.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "classifiers/segment_settings.h"
#include "classifiers/species.h"

namespace quietpass {

// `measure > threshold`, or `measure <= threshold`.
struct Condition {
    std::size_t measure = 0; // index, see measures.h
    bool above = true;       // true: >, false: <=
    float threshold = 0.0F;
    friend bool operator==(const Condition&, const Condition&) = default;
};

// A hard physical range: a sound outside it never passes, whatever its points.
struct Gate {
    std::size_t measure = 0;
    float low = 0.0F;  // inclusive; -infinity when there is none
    float high = 0.0F; // inclusive; +infinity when there is none
    friend bool operator==(const Gate&, const Gate&) = default;
};

// Points, given when all conditions hold.
struct Term {
    std::vector<Condition> all_of; // 1 … 3
    double points = 0.0;
    friend bool operator==(const Term&, const Term&) = default;
};

// Another kind for a sound that passed the card, when all conditions hold; the first rule that fits is taken.
struct KindRule {
    CallKind kind = CallKind::kMoo;
    std::vector<Condition> all_of; // 1 … 3
    friend bool operator==(const KindRule&, const KindRule&) = default;
};

struct Scorecard {
    CallKind kind = CallKind::kMoo;
    double base = 0.0; // points every sound starts with
    double cut = 0.0;  // base + points at or above this: a call
    std::vector<Gate> gates;
    std::vector<KindRule> kind_rules;
    std::vector<Term> terms;
    friend bool operator==(const Scorecard&, const Scorecard&) = default;
};

struct Profile {
    Species species = Species::kCattle;
    std::string name;
    std::string version;
    std::string about; // free text for the reader: what it was trained on, what it reaches. May be empty
    SegmentSettings segments;
    std::vector<Scorecard> cards; // 1 … 4
};

} // namespace quietpass
