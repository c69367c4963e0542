#include "classifiers/statistics/normal_deviate.h"

#include <boost/math/distributions/normal.hpp>
#include <stdexcept>

namespace quietpass::statistics {

double normal_deviate(double tail) {
    if (!(tail > 0.0 && tail < 1.0)) {
        throw std::invalid_argument("normal_deviate: expected a share between 0 and 1");
    }
    return boost::math::quantile(boost::math::complement(boost::math::normal(), tail));
}

double two_sided_deviate(double confidence) {
    return normal_deviate((1.0 - confidence) / 2.0);
}

} // namespace quietpass::statistics
