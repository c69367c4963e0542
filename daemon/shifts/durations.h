// The times of the restraint cycle over many animals: which of them count, and their median, 95th percentile
// and maximum.
//
// Times stand on the contacts alone, so they need no hearing; they do need contacts that answered. Seconds.
// Quantiles interpolate linearly between order statistics (Hyndman and Fan 1996, type 7). Pure; any thread.
#pragma once

#include <vector>

#include "daemon/passages/passage.h"
#include "daemon/shifts/shift_record.h"

namespace quietpass {

// Not a door that was tried or a contact that bounced for long.
bool is_animal(const Passage& passage);
bool contacts_known(const Passage& passage);

class DurationCollector {
  public:
    // `of` gives one of the passage's times; one that is missing or negative does not count.
    explicit DurationCollector(double (Passage::*of)() const) : of_(of) {}
    void add(const Passage& passage);
    Durations durations() const;

  private:
    double (Passage::*of_)() const;
    std::vector<double> lasted_s_;
};

} // namespace quietpass
