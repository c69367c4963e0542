// A ClipFiler on a simulated disk and clock, with a real record store beside it. Tests only; one thread.
#pragma once

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include "daemon/clips/clip_filer.h"
#include "daemon/ledger/ledger.h"
#include "daemon/records/sha256.h"
#include "tests/contacts/simulated_clock.h"
#include "tests/records/simulated_files.h"
#include "tests/test_folder.h"

namespace quietpass {

inline constexpr std::int64_t kStart_ns = 1'772'456'701'234'000'000; // 2026-03-02T13:05:01.234Z
inline constexpr double kDay_s = 86400.0;

struct ClipHouse {
    explicit ClipHouse(const ClipSettings& wished = {}) : settings(wished) {
        clock.go_to(static_cast<double>(kStart_ns) * 1e-9);
        Store store(records());
        ShiftOpened shift;
        shift.shift_id = 1;
        shift.station = "box";
        shift.timezone = "UTC";
        shift.name = "all";
        store.write(std::vector<StoreRow>{shift});
        start();
    }

    // As after a restart of the daemon.
    void start() {
        filer = std::make_unique<ClipFiler>("/out", ClipOrigin{"box", {"head"}, "quietpass", "abc"}, settings,
                                            files, Store(records(), std::chrono::milliseconds(0)), clock,
                                            [this](bool, const std::string& line) { said.push_back(line); });
        filer->open();
    }

    // A clip of a second, so many days after the first.
    ClipJob job(double days = 0.0) const {
        ClipJob job;
        job.wish.shift_id = 1;
        job.wish.passage_id = 12;
        job.wish.call_id = 17;
        job.cut.rate_hz = 8000.0;
        job.cut.frames = 8000;
        job.cut.start_s = days * kDay_s;
        std::vector<float> sound;
        for (int i = 0; i < 8000; ++i) sound.push_back(0.3F * std::sin(static_cast<float>(i * i) * 0.01F));
        job.cut.channels.push_back({8000.0, sound});
        job.start_utc_ns = kStart_ns + static_cast<std::int64_t>(days * kDay_s * 1e9);
        return job;
    }

    void go_to_day(double days) { clock.go_to(static_cast<double>(kStart_ns) * 1e-9 + days * kDay_s); }

    std::vector<StoredClip> clips(bool deleted_too = false) const {
        const Store store(records());
        std::vector<StoredClip> found;
        ClipFilter filter;
        filter.deleted_too = deleted_too;
        store.read([&](SQLite::Database& database) { found = read_clips(database, filter); });
        return found;
    }

    void hold(std::int64_t clip_id, bool held = true) const {
        Store store(records());
        store.change([&](SQLite::Database& database) {
            Ledger ledger(database);
            const std::int64_t case_seq = ledger.next_seq();
            SQLite::Statement opened(database,
                                     "INSERT INTO cases (seq, case_id, reference, asked_by, entered_by, "
                                     "utc_ns, note) VALUES (?, 1, 'R', 'A', 'B', 0, '') "
                                     "ON CONFLICT (case_id) DO NOTHING");
            opened.bind(1, case_seq);
            if (opened.exec() > 0) ledger.record("cases", case_seq);
            const std::int64_t seq = ledger.next_seq();
            SQLite::Statement hold(database,
                                   "INSERT INTO clip_holds (seq, clip_id, case_id, held, utc_ns, entered_by) "
                                   "VALUES (?, ?, 1, ?, 0, 'B')");
            hold.bind(1, seq);
            hold.bind(2, clip_id);
            hold.bind(3, held ? 1 : 0);
            hold.exec();
            ledger.record("clip_holds", seq);
        });
    }

    // Files of clips, asides and all, below /out/clips.
    std::vector<std::string> names() const {
        std::vector<std::string> names;
        for (const auto& file : files.files_under("/out/clips"))
            names.push_back(file.lexically_relative("/out").generic_string());
        return names;
    }

    bool was_said(const std::string& words) const {
        for (const std::string& line : said) {
            if (line.find(words) != std::string::npos) return true;
        }
        return false;
    }

    std::filesystem::path records() const { return folder / "records.db"; }

    ClipSettings settings;
    TestFolder folder;
    SimulatedFiles files;
    SimulatedClock clock;
    std::vector<std::string> said;
    std::unique_ptr<ClipFiler> filer;
};

// Every clip of the records is there whole, and nothing else is where clips are.
inline bool rows_and_files_agree(const ClipHouse& house) {
    std::vector<std::string> expected;
    for (const StoredClip& clip : house.clips()) {
        const auto bytes = house.files.read("/out/" + clip.row.file);
        if (!bytes || sha256_hex(*bytes) != clip.row.sha256) return false;
        expected.push_back(clip.row.file);
    }
    std::vector<std::string> there;
    for (const std::string& name : house.names()) {
        if (!name.starts_with("clips/unrecorded/")) there.push_back(name);
    }
    return there == expected;
}

} // namespace quietpass
