// Measures, conditions and scorecards in words for a person. Pure; any thread.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "classifiers/profile.h"

namespace quietpass {

// The measure's meaning, whole by itself: what the list of measures calls "the same, 90th percentile" is said
// in full.
std::string measure_in_words(std::size_t measure);

// "Hz", "a second"; empty for a plain number or a share.
std::string_view unit_in_words(std::size_t measure);

// "over 0.4", without unit.
std::string bound_in_words(const Condition& condition);

// "length of the voice over 0.4 s".
std::string plain_words(const Condition& condition);

// Of several conditions on one measure one range is made: "pitch, median: over 80, at most 260 Hz".
std::vector<std::string> conditions_in_words(std::span<const Condition> all_of);

// What a measure is about; a reader takes a scorecard subject by subject.
enum class Subject { kVoice, kPitch, kTone, kRhythm, kLevel, kColour };
inline constexpr std::size_t kSubjects = 6;
Subject subject_of(std::size_t measure);
// The subject of most of its conditions; of two with as many, the one that comes first in the enumeration.
Subject subject_of(const Term& term);
std::string_view name_of(Subject subject); // "pitch"

// Terms by subject, the subject with the largest sum of `gains` first, and within it by measure in the same
// way, steps of one measure together; `gains` (as many as terms) goes along. Scores stay as they are.
void arrange_by_subject(Scorecard& card, std::vector<double>& gains);

} // namespace quietpass
