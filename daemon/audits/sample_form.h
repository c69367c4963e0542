// The guides' sample of an audit, taken from the machine's record: so many covered passages in a row, how
// many of them were vocal, and what the limit says of that.
//
// Passages that were not scored are passed over and counted. The limit and its basis are settings of the
// station. Shares are fractions. Pure; any thread. Animals are taken as independent, which those of one lot
// are not.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "classifiers/evaluation/confusion.h"
#include "classifiers/evaluation/wilson.h"
#include "classifiers/statistics/sprt.h"
#include "daemon/factors/passage_facts.h"

namespace quietpass {

struct SampleForm {
    PassageFacts first;
    PassageFacts last;
    evaluation::Rate vocal;
    std::array<std::int64_t, 4> vocal_in{}; // passages, by kCountedPhases
    std::int64_t passed_over = 0;           // between the first and the last, not scored
    std::optional<Interval> interval;
    double limit_percent = 0.0;

    bool within_limit() const;      // at the limit is within
    bool limit_in_interval() const; // too few animals to be sure
    // The most vocal animals that are still within the limit.
    std::int64_t most_vocal() const;
};

// Every sample of `size` in a row, one after the other from the first passage on; a rest that is too small is
// none.
std::vector<SampleForm> samples_of(const std::vector<PassageFacts>& passages, std::int64_t size,
                                   double limit_percent, double confidence = kUsualConfidence);

// The latest.
std::optional<SampleForm> latest_sample(const std::vector<PassageFacts>& passages, std::int64_t size,
                                        double limit_percent, double confidence = kUsualConfidence);

// When a sequential audit of the scored passages would have ended.
struct SequentialEnd {
    statistics::SequentialAnswer answer = statistics::SequentialAnswer::kGoOn;
    evaluation::Rate seen; // up to there
};

SequentialEnd audited_in_sequence(const std::vector<PassageFacts>& passages, const statistics::Sprt& test);

} // namespace quietpass
