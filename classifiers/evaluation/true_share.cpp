#include "classifiers/evaluation/true_share.h"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cmath>

namespace quietpass::evaluation {

namespace {

double rogan_gladen(double called, double sensitivity, double specificity) {
    return (called + specificity - 1.0) / (sensitivity + specificity - 1.0);
}

// A share with `more` added to its count, half of it as hits.
struct Drawn {
    Drawn(const Rate& rate, double more)
        : n(static_cast<double>(rate.n) + more), share((static_cast<double>(rate.k) + more / 2.0) / n) {}

    double variance() const { return share * (1.0 - share) / n; }

    double n;
    double share;
};

} // namespace

std::optional<TrueShare> true_share(const Rate& called, const HearingRates& rates, double confidence) {
    if (called.n == 0 || rates.sensitivity.n == 0 || rates.specificity.n == 0) return std::nullopt;
    const double sensitivity = *rates.sensitivity.value();
    const double specificity = *rates.specificity.value();
    if (sensitivity + specificity <= 1.0) return std::nullopt;

    const double z =
        boost::math::quantile(boost::math::complement(boost::math::normal(), (1.0 - confidence) / 2.0));
    const Drawn share(called, z * z);
    const Drawn hit(rates.sensitivity, 2.0);
    const Drawn quiet(rates.specificity, 2.0);
    const double told = hit.share + quiet.share - 1.0;
    if (told <= 0.0) return std::nullopt;
    const double middle = rogan_gladen(share.share, hit.share, quiet.share);
    const double shift = 2.0 * z * z * (middle * hit.variance() - (1.0 - middle) * quiet.variance());
    const double deviation = std::sqrt(share.variance() + (1.0 - middle) * (1.0 - middle) * quiet.variance() +
                                       middle * middle * hit.variance()) /
                             told;
    const auto cut = [](double value) { return std::clamp(value, 0.0, 1.0); };
    return TrueShare{cut(rogan_gladen(*called.value(), sensitivity, specificity)),
                     {cut(middle + shift - z * deviation), cut(middle + shift + z * deviation)}};
}

} // namespace quietpass::evaluation
