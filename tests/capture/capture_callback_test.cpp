#include <catch2/catch.hpp>
#include <vector>

#include "daemon/capture/capture_ring.h"
#include "tests/dsp/allocation_counter.h"

TEST_CASE("The callback's side of the ring allocates nothing, full or not") {
    quietpass::CaptureRing ring(1, 1000);
    const std::vector<float> samples(300, 0.5F);
    const std::size_t before = quietpass::allocations_so_far();
    for (int i = 0; i < 10; ++i) ring.push(samples.data(), samples.size(), i, i % 3 == 0);
    const std::size_t after = quietpass::allocations_so_far();
    CHECK(before > 0); // the counter counts
    CHECK(after == before);
}
