// Which records of the ledger belong to a bundle, as the record of its export says it: "3-41,60 DIGEST". The
// digest is the SHA-256 of a line "SEQ HASH\n" for the last record of each range: a hash covers all before it
// in the ledger, so no record of a range can be another, and none can be left out.
//
// Pure. Errors: none; text that is no such list reads as nothing.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace quietpass {

struct RecordRange {
    std::int64_t from_seq = 0;
    std::int64_t to_seq = 0; // that one too
};

// In order, none touching the next.
std::vector<RecordRange> merged(std::vector<RecordRange> ranges);

struct RecordList {
    std::vector<RecordRange> ranges;
    std::string digest; // 64 hex digits
};

std::string text_of(const RecordList& list);
std::optional<RecordList> record_list_of(std::string_view text);

// hashes: of the last record of each range, hex.
std::string digest_of(const std::vector<RecordRange>& ranges, const std::vector<std::string>& hashes);

} // namespace quietpass
