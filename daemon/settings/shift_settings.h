// Hours of the week by the local clock, with a name. Plain value.
#pragma once

#include <string>
#include <vector>

namespace quietpass {

struct ShiftSettings {
    std::string name;
    int start_minute = 0;           // local minute of the day, 0 … 1439
    int end_minute = 0;             // local minute; at or before the start: the next day
    std::vector<unsigned> weekdays; // 0 = Sunday … 6; the day the shift starts. Empty: every day
};

} // namespace quietpass
