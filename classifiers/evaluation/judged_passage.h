// One passage as the truth and the record tell it, and the level its calls were heard at. Plain values.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace quietpass::evaluation {

enum class Standing {
    kJudged,
    kNotCovered,  // the record says that it was not heard, or not scored
    kNoTruth,     // the truth has no such passage
    kNotInRecord, // the record has no such passage
};

std::string_view name_of(Standing standing); // "judged", "not_covered", "no_truth", "not_in_record"

struct JudgedPassage {
    std::string shift;
    std::int64_t number = 0; // the record's passage_id; the truth's where the record has none
    double entered_s = 0.0;
    Standing standing = Standing::kJudged;
    bool vocal = false;           // the truth
    bool called = false;          // the record
    std::optional<double> snr_db; // of its clearest counted call
    std::string recording;        // of that call; empty when not known
};

// The step, in dB, that calls' levels over the background are told apart by: 5.
int level_of(double snr_db);

// By shift: the level of its calls, where all its vocal passages share one. Quiet passages of such a shift
// stand beside the vocal ones of that level.
std::map<std::string, int> levels_of_shifts(std::span<const JudgedPassage> passages);

} // namespace quietpass::evaluation
