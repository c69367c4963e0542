// A scorecard as a page that a person reads: what sounds are about, subject by subject, each with how much it
// carries, then its terms, largest first. 80 columns, UTF-8. Pure; any thread.
#pragma once

#include <string>
#include <vector>

#include "classifiers/profile.h"

namespace quietpass::tuning {

// gains: of each term, how much the scores spread by it; as many as terms.
std::string terms_in_words(const Scorecard& card, const std::vector<double>& gains);

} // namespace quietpass::tuning
