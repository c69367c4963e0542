// Remembers when each source (microphone or contact source) was not heard, and answers whether a stretch was.
//
// Pure, not thread-safe. Times are station seconds. Memory is bounded by forget_before().
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "daemon/capture/gap.h"

namespace quietpass {

class GapLog {
  public:
    // Stretches of one source and cause that touch or overlap become one gap.
    void add(const std::string& source, double start_s, double end_s, GapCause cause);

    // The cause of the first gap that overlaps [start_s, end_s], if any.
    std::optional<GapCause> gap_in(double start_s, double end_s) const;

    // Takes a gap that ended before settled_s and so can't grow any more; in order of end. False when there
    // is none.
    bool take_ended(double settled_s, Gap& out);

    // Drops gaps that were taken and ended before this.
    void forget_before(double time_s);

  private:
    struct Kept {
        Gap gap;
        bool taken = false;
    };
    std::vector<Kept> gaps_;
};

} // namespace quietpass
