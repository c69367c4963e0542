#include "dsp/window.h"

#include <cmath>
#include <numbers>

namespace quietpass::dsp {

std::vector<float> hann_periodic(std::size_t size) {
    std::vector<float> window(size);
    for (std::size_t n = 0; n < size; ++n) {
        const double turn = static_cast<double>(n) / static_cast<double>(size);
        window[n] = static_cast<float>(0.5 - 0.5 * std::cos(2.0 * std::numbers::pi * turn));
    }
    return window;
}

std::vector<float> spectrum_window(std::size_t size) {
    std::vector<float> window = hann_periodic(size);
    // A sine of amplitude 1 leaves size/2 · coherent gain in its bin.
    const double scale = 2.0 / (static_cast<double>(size) * coherent_gain(window));
    for (float& weight : window) weight = static_cast<float>(static_cast<double>(weight) * scale);
    return window;
}

double coherent_gain(std::span<const float> window) {
    double sum = 0.0;
    for (const float weight : window) sum += static_cast<double>(weight);
    return sum / static_cast<double>(window.size());
}

double noise_bandwidth_bins(std::span<const float> window) {
    double sum = 0.0;
    double squares = 0.0;
    for (const float weight : window) {
        sum += static_cast<double>(weight);
        squares += static_cast<double>(weight) * static_cast<double>(weight);
    }
    return static_cast<double>(window.size()) * squares / (sum * sum);
}

} // namespace quietpass::dsp
