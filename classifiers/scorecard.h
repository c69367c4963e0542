// Judges a row of measures by a profile's scorecards.
//
// judge() is pure, noexcept and allocates nothing; reasons_of() builds text and allocates. Safe from any
// thread.
#pragma once

#include <optional>
#include <string>

#include "classifiers/measures.h"
#include "classifiers/profile.h"

namespace quietpass {

struct Judgement {
    std::size_t card = 0; // index of the card that passed
    CallKind kind = CallKind::kMoo;
    double score = 0.0; // base plus points
};

bool holds(const Condition& condition, const MeasureRow& measures) noexcept;
bool within_gates(const Scorecard& card, const MeasureRow& measures) noexcept;

// Base plus the points of all terms that hold; gates are not looked at.
double score_of(const Scorecard& card, const MeasureRow& measures) noexcept;

// The first card whose gates and cut the sound passes; nothing when none.
std::optional<Judgement> judge(const Profile& profile, const MeasureRow& measures) noexcept;

// The terms that gave points (those that took some are left out), largest first, at most `most`:
// "voice_s>0.4 +1.2; voice_rough_db<=3 +0.4".
std::string reasons_of(const Scorecard& card, const MeasureRow& measures, std::size_t most = 8);

} // namespace quietpass
