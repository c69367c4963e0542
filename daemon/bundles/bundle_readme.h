// README.txt of a bundle: what is in it, how to check it, and what it doesn't say, in plain words for who has
// never heard of this program. Pure; any thread.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "daemon/records/case_file.h"

namespace quietpass {

struct BundleFacts {
    CaseFile file;
    std::string station;
    std::string exported; // UTC
    std::string by;
    bool masked = true;
    std::string reason;              // why not masked
    std::string key_id;              // of the key that signs; empty: nothing is signed
    std::string public_key;          // hex
    std::vector<std::string> absent; // clips that are gone, a line each
    std::int64_t clips = 0;
};

std::string bundle_readme(const BundleFacts& facts);

} // namespace quietpass
