// Clips of a made store's calls: the rows as the daemon writes them, the files where a test wants some. One
// thread.
#pragma once

#include <SQLiteCpp/Statement.h>

#include <string>

#include "daemon/ledger/ledger.h"
#include "daemon/records/store.h"

namespace quietpass {

struct MadeClip {
    std::int64_t clip_id = 0;
    std::int64_t shift_id = 0;
    std::string why = "call";
    std::int64_t passage_id = 0; // 0: none
    std::int64_t call_id = 0;    // 0: none
    double start_s = 0.0;
    double end_s = 0.0;
    std::int64_t start_utc_ns = 0;
    std::string file = "clips/none.flac";
    std::string sha256 = "none";
    std::string microphones = "head";
};

inline void add_clip(Store& store, const MadeClip& clip) {
    store.change([&](SQLite::Database& database) {
        Ledger ledger(database);
        const std::int64_t seq = ledger.next_seq();
        SQLite::Statement insert(database,
                                 "INSERT INTO clips (seq, clip_id, shift_id, why, passage_id, call_id, "
                                 "microphones, start_s, end_s, start_utc_ns, rate_hz, bytes, file, sha256) "
                                 "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 16000, 0, ?, ?)");
        insert.bind(1, seq);
        insert.bind(2, clip.clip_id);
        insert.bind(3, clip.shift_id);
        insert.bind(4, clip.why);
        if (clip.passage_id > 0) insert.bind(5, clip.passage_id);
        if (clip.call_id > 0) insert.bind(6, clip.call_id);
        insert.bind(7, clip.microphones);
        insert.bind(8, clip.start_s);
        insert.bind(9, clip.end_s);
        insert.bind(10, clip.start_utc_ns);
        insert.bind(11, clip.file);
        insert.bind(12, clip.sha256);
        insert.exec();
        ledger.record("clips", seq);
    });
}

inline void delete_clip(Store& store, std::int64_t clip_id) {
    store.change([&](SQLite::Database& database) {
        Ledger ledger(database);
        const std::int64_t seq = ledger.next_seq();
        SQLite::Statement insert(database,
                                 "INSERT INTO clip_deletions (seq, clip_id, utc_ns, why, entered_by) "
                                 "VALUES (?, ?, 1, 'age', '')");
        insert.bind(1, seq);
        insert.bind(2, clip_id);
        insert.exec();
        ledger.record("clip_deletions", seq);
    });
}

} // namespace quietpass
