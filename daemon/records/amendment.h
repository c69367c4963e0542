// An amendment of a closed shift's record, as it is stored (daemon/review/amendment_json.h makes its text). A
// plain value.
#pragma once

#include <cstdint>
#include <string>

namespace quietpass {

struct Amendment {
    std::int64_t shift_id = 0;
    std::int64_t number = 0; // from 1 within the shift
    std::int64_t utc_ns = 0;
    std::string by;
    std::string record_json;
};

} // namespace quietpass
