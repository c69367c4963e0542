// What a sample of n animals can tell about a limit, before it is taken.
//
// Pure; any thread. Errors: std::invalid_argument for values out of range. Boost.Math's binomial
// distribution: animals are taken as independent, which those of one lot are not.
#pragma once

#include <cstdint>

namespace quietpass::statistics {

// The chance that a station of this true share has at most `most_vocal` vocal animals in a sample of n.
double chance_to_pass(double true_share, std::int64_t most_vocal, std::int64_t animals);

} // namespace quietpass::statistics
