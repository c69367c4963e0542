#include "classifiers/statistics/sample_plan.h"

#include <boost/math/distributions/binomial.hpp>
#include <stdexcept>

namespace quietpass::statistics {

double chance_to_pass(double true_share, std::int64_t most_vocal, std::int64_t animals) {
    if (!(true_share >= 0.0 && true_share <= 1.0) || most_vocal < 0 || animals < 1) {
        throw std::invalid_argument("chance_to_pass: expected a share of 0 to 1, counts not negative");
    }
    if (most_vocal >= animals) return 1.0;
    return boost::math::cdf(boost::math::binomial(static_cast<double>(animals), true_share),
                            static_cast<double>(most_vocal));
}

} // namespace quietpass::statistics
