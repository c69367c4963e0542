// How many standard deviations leave `tail` of a normal distribution above them: 1.96 for 0.025.
//
// Errors: std::invalid_argument for a tail outside (0, 1). Pure; any thread.
#pragma once

namespace quietpass::statistics {

double normal_deviate(double tail);

// The same for both sides of an interval: 1.96 for a confidence of 0.95.
double two_sided_deviate(double confidence);

} // namespace quietpass::statistics
