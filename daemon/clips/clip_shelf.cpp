#include "daemon/clips/clip_shelf.h"

#include "daemon/records/clip_rows.h"

namespace quietpass {

void ClipShelf::follow(const Store& store) {
    ClipNews news;
    store.read([&](SQLite::Database& database) { news = read_clip_news(database, last_seq_); });
    last_seq_ = news.last_seq;
    for (const ClipRow& row : news.added) {
        // A clip without a date is older than any.
        const std::int64_t start_ns = row.start_utc_ns.value_or(0);
        by_age_[{start_ns, row.clip_id}] = {row.clip_id, start_ns, row.bytes, row.file};
        start_of_[row.clip_id] = start_ns;
        bytes_ += row.bytes;
    }
    for (const std::int64_t clip_id : news.deleted) {
        const auto start = start_of_.find(clip_id);
        if (start == start_of_.end()) continue;
        const auto clip = by_age_.find({start->second, clip_id});
        bytes_ -= clip->second.bytes;
        by_age_.erase(clip);
        start_of_.erase(start);
    }
}

} // namespace quietpass
