#include "daemon/bundles/record_ranges.h"

#include <algorithm>
#include <charconv>

#include "daemon/records/sha256.h"

namespace quietpass {

namespace {

// The number that the text begins with, taken off it.
bool take_number(std::string_view& text, std::int64_t& number) {
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error != std::errc{} || number < 1) return false;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return true;
}

bool take(std::string_view& text, char letter) {
    if (text.empty() || text.front() != letter) return false;
    text.remove_prefix(1);
    return true;
}

} // namespace

std::vector<RecordRange> merged(std::vector<RecordRange> ranges) {
    std::sort(ranges.begin(), ranges.end(),
              [](const RecordRange& a, const RecordRange& b) { return a.from_seq < b.from_seq; });
    std::vector<RecordRange> out;
    for (const RecordRange& range : ranges) {
        if (!out.empty() && range.from_seq <= out.back().to_seq + 1) {
            out.back().to_seq = std::max(out.back().to_seq, range.to_seq);
        } else {
            out.push_back(range);
        }
    }
    return out;
}

std::string text_of(const RecordList& list) {
    std::string text;
    for (const RecordRange& range : list.ranges) {
        if (!text.empty()) text += ',';
        text += std::to_string(range.from_seq);
        if (range.to_seq != range.from_seq) text += '-' + std::to_string(range.to_seq);
    }
    return text + ' ' + list.digest;
}

std::optional<RecordList> record_list_of(std::string_view text) {
    RecordList list;
    do {
        RecordRange range;
        if (!take_number(text, range.from_seq)) return std::nullopt;
        range.to_seq = range.from_seq;
        if (take(text, '-') && !take_number(text, range.to_seq)) return std::nullopt;
        if (range.to_seq < range.from_seq) return std::nullopt;
        list.ranges.push_back(range);
    } while (take(text, ','));
    if (!take(text, ' ') || text.size() != 64) return std::nullopt;
    list.digest = text;
    return list;
}

std::string digest_of(const std::vector<RecordRange>& ranges, const std::vector<std::string>& hashes) {
    std::string lines;
    for (std::size_t i = 0; i < ranges.size(); ++i)
        lines += std::to_string(ranges[i].to_seq) + ' ' + hashes.at(i) + '\n';
    return sha256_hex(lines);
}

} // namespace quietpass
