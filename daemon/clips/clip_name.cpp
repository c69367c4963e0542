#include "daemon/clips/clip_name.h"

#include <fmt/format.h>

#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

std::string number(const char* key, const std::optional<std::int64_t>& value) {
    return value ? fmt::format("; {}={}", key, *value) : "";
}

std::string title_of(const ClipRow& row) {
    std::string title;
    switch (row.why) {
        case ClipWhy::kCall:
        case ClipWhy::kAlarm:
            title = row.call_id ? fmt::format("call {}", *row.call_id) : "alarm";
            break;
        case ClipWhy::kQuiet:
            title = "quiet";
            break;
        case ClipWhy::kContinuous:
            return "continuous";
    }
    return title + (row.passage_id ? fmt::format(" of passage {}", *row.passage_id) : "");
}

} // namespace

std::string clip_file_name(const ClipRow& row) {
    const std::string what = fmt::format("{}_{}.flac", name_of(row.why), row.clip_id);
    if (!row.start_utc_ns) return "clips/undated/" + what;
    const std::string utc = utc_text(*row.start_utc_ns); // 2026-03-02T13:05:01.234Z
    return fmt::format("clips/{}/{}/{}/{}{}{}T{}{}{}_{}Z_{}", utc.substr(0, 4), utc.substr(5, 2),
                       utc.substr(8, 2), utc.substr(0, 4), utc.substr(5, 2), utc.substr(8, 2),
                       utc.substr(11, 2), utc.substr(14, 2), utc.substr(17, 2), utc.substr(20, 3), what);
}

std::optional<std::int64_t> utc_ns_of_clip_name(const std::string& name) {
    if (name.size() < 20 || name[8] != 'T' || name[15] != '_') return std::nullopt;
    return utc_from_text(fmt::format("{}-{}-{}T{}:{}:{}Z", name.substr(0, 4), name.substr(4, 2),
                                     name.substr(6, 2), name.substr(9, 2), name.substr(11, 2),
                                     name.substr(13, 2)));
}

ClipTags clip_tags(const ClipRow& row, const ClipOrigin& origin, const std::string& lost) {
    ClipTags tags;
    tags.title = title_of(row);
    tags.station = origin.station;
    tags.software = origin.software;
    if (row.start_utc_ns) tags.date = utc_text(*row.start_utc_ns);
    tags.comment = fmt::format(
        "clip={}; why={}; shift={}{}{}{}; start_s={:.6f}; end_s={:.6f}; "
        "microphones={}; configuration={}",
        row.clip_id, name_of(row.why), row.shift_id, number("passage", row.passage_id),
        number("call", row.call_id), number("alarm", row.alarm_id), row.start_s, row.end_s, row.microphones,
        origin.configuration);
    if (!lost.empty()) tags.comment += "; lost=" + lost;
    return tags;
}

} // namespace quietpass
