// Which passages before and after a change are compared: the nearest in time, the nearest in number, or those
// between two moments. Plain values; pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/factors/passage_facts.h"
#include "daemon/records/local_time.h"

namespace quietpass {

struct Window {
    // One of these.
    std::optional<std::int64_t> length_ns;
    std::optional<std::int64_t> passages; // scored ones
    std::optional<std::int64_t> from_utc_ns;
    std::optional<std::int64_t> to_utc_ns;
};

// "7d", "36h", "90m"; "400" (scored passages); "FROM,TO" (moments, local or UTC). Nothing for other text.
std::optional<Window> window_from(const std::string& text, const LocalTime& time);

// The dated passages of the window on one side of the change, scored or not, in order of entry: of a number
// of scored ones, those from the first of them to the change, and from it to the last. One entered at the
// moment of the change is after it.
std::vector<PassageFacts> entered_before(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                         const Window& window);
std::vector<PassageFacts> entered_after(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                        const Window& window);

std::vector<PassageFacts> scored_of(std::vector<PassageFacts> passages);

// The scored ones of these.
std::vector<PassageFacts> passages_before(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                          const Window& window);
std::vector<PassageFacts> passages_after(const std::vector<PassageFacts>& all, std::int64_t change_utc_ns,
                                         const Window& window);

} // namespace quietpass
