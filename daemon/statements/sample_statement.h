// What `quietpass handaudit sample` and the page say of the guides' sample taken from the machine's record.
// Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/factors/passage_facts.h"
#include "daemon/records/local_time.h"
#include "daemon/tables/table.h"

namespace quietpass {

struct SampleLimit {
    double percent = 0.0;
    std::string basis;
};

// Of the latest closed shift. Nothing: none of these is closed.
std::optional<SampleLimit> limit_in(const std::vector<StoredShift>& shifts);

// When an animal-by-animal audit would have ended: one percentage against a higher one, and of 100 such
// audits how many may say high when it is low, and the other way round (custom).
struct SequentialWish {
    double low_percent = 0.0;
    double high_percent = 0.0;
    double wrongly_high_percent = 5.0;
    double wrongly_low_percent = 10.0;
};

struct SampleWish {
    std::int64_t size = 100; // guides: 100, or 50 in small plants
    bool all = false;        // every sample in a row; else the latest
    SampleLimit limit;
    std::optional<SequentialWish> sequential;
};

inline constexpr std::int64_t kMostSampleSize = 100000;

Statement sample_statement(const std::vector<PassageFacts>& facts, const SampleWish& wish,
                           const LocalTime& time);

} // namespace quietpass
