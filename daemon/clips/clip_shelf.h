// The clips there are, oldest first, and how much space they take: what retention goes by. Follows the store,
// so that it knows of what other processes deleted.
//
// One thread. Errors: Failure, when the store can't be read.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <utility>

#include "daemon/records/store.h"

namespace quietpass {

class ClipShelf {
  public:
    struct Clip {
        std::int64_t clip_id = 0;
        std::int64_t start_utc_ns = 0;
        std::int64_t bytes = 0;
        std::string file;
    };
    using ByAge = std::map<std::pair<std::int64_t, std::int64_t>, Clip>; // by start, then id

    // Takes in what came to the store since the last time.
    void follow(const Store& store);

    std::int64_t bytes() const { return bytes_; }
    const ByAge& by_age() const { return by_age_; }

  private:
    std::int64_t last_seq_ = 0;
    std::int64_t bytes_ = 0;
    ByAge by_age_;
    std::map<std::int64_t, std::int64_t> start_of_; // by id
};

} // namespace quietpass
