// The real daemon, writing records, clips and alarms, killed at random moments: every record that another
// program saw in the store before the kill is there afterwards, the ledger holds, and no clip is
// half-written.

#include <signal.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <map>
#include <random>
#include <string>

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include "daemon/clock.h"
#include "daemon/ledger/store_check.h"
#include "daemon/records/clip_rows.h"
#include "daemon/records/sha256.h"
#include "daemon/records/store.h"
#include "daemon/records/utc_text.h"
#include "tests/end_to_end/plant.h"

using namespace quietpass::test;

namespace {

// More by hand, where minutes don't matter.
int kills_wished() {
    const char* const wished = std::getenv("QUIETPASS_RUN_KILLS");
    return wished != nullptr ? std::atoi(wished) : 20;
}

// What a program beside the daemon sees of the ledger: number and hash of each record that was acknowledged.
class Witness {
  public:
    explicit Witness(std::filesystem::path file) : file_(std::move(file)) {}

    // True when there are new ones.
    bool look() {
        if (!std::filesystem::exists(file_)) return false;
        try {
            const SQLite::Database database(file_.string(), SQLite::OPEN_READONLY, 1000);
            SQLite::Statement query(database, "SELECT seq, hex(hash) FROM ledger WHERE seq > ? ORDER BY seq");
            query.bind(1, last_);
            bool any = false;
            while (query.executeStep()) {
                last_ = query.getColumn(0).getInt64();
                seen_[last_] = query.getColumn(1).getString();
                any = true;
            }
            return any;
        } catch (const SQLite::Exception&) {
            return false; // not made yet, or locked for recovery after a kill: it is looked at again
        }
    }

    const std::map<std::int64_t, std::string>& seen() const { return seen_; }

  private:
    std::filesystem::path file_;
    std::int64_t last_ = 0;
    std::map<std::int64_t, std::string> seen_;
};

} // namespace

TEST_CASE(
    "A daemon killed at many random moments loses no acknowledged record, and no clip is half-written") {
    const Plant plant;
    // Sound is filed all the time, in short pieces, so that kills fall into the writing of clips.
    const std::int64_t now_ns = quietpass::RealClock().utc_ns();
    write_text(plant.folder / "station.toml",
               text_of(plant.folder / "station.toml") +
                   "\n[clips]\nquiet_percent = 100\nmin_free_mb = 0\nlongest_s = 10\ncontinuous_from = \"" +
                   quietpass::utc_text(now_ns - 60'000'000'000) + "\"\ncontinuous_until = \"" +
                   quietpass::utc_text(now_ns + 12 * 3600'000'000'000) + "\"\n");
    const std::filesystem::path out = plant.folder / "out";
    Witness witness(out / "records.db");
    std::mt19937 random(20260310);
    std::uniform_int_distribution<int> milliseconds(0, 3000);
    const int kills = kills_wished();
    for (int kill = 1; kill <= kills; ++kill) {
        Background daemon(plant.run_words(), plant.environment(), plant.folder / "o", plant.folder / "e");
        REQUIRE(wait_until([&] { return witness.look() || !daemon.running(); }));
        INFO("kill " << kill << ": " << daemon.err() << plant.log());
        REQUIRE(daemon.running());
        const auto until = std::chrono::steady_clock::now() + std::chrono::milliseconds(milliseconds(random));
        wait_until([&] {
            witness.look();
            return std::chrono::steady_clock::now() >= until;
        });
        daemon.signal(SIGKILL);
        daemon.wait();
    }
    const Outcome last = run_program(plant.run_words("2"), plant.environment());
    INFO(last.err << plant.log());
    REQUIRE(last.exit_code == 0);
    // Not even the clip of a run so short that its shift's row was still on its way.
    CHECK(plant.log().find("could not be written") == std::string::npos);

    const quietpass::Store store(out / "records.db");
    CHECK(store.integrity_errors().empty());
    CHECK(store.open_shifts().empty());
    CHECK(store.shifts().size() >= 2);
    std::size_t missing = 0;
    std::vector<quietpass::StoredClip> clips;
    store.read([&](SQLite::Database& database) {
        const quietpass::LedgerVerdict verdict = quietpass::check_store(database);
        CHECK((verdict.misfit ? quietpass::words_of(*verdict.misfit) : "") == "");
        SQLite::Statement query(database, "SELECT hex(hash) FROM ledger WHERE seq = ?");
        for (const auto& [seq, hash] : witness.seen()) {
            query.bind(1, seq);
            if (!query.executeStep() || query.getColumn(0).getString() != hash) ++missing;
            query.reset();
        }
        clips = quietpass::read_clips(database, {});
    });
    CHECK(witness.seen().size() > static_cast<std::size_t>(kills));
    CHECK(missing == 0);
    CHECK(clips.size() >= static_cast<std::size_t>(kills) / 2);
    for (const quietpass::StoredClip& clip : clips) {
        INFO(clip.row.file);
        CHECK(quietpass::sha256_hex_of_file(out / clip.row.file) == clip.row.sha256);
    }
    const Outcome verified = run_program({quietpass_program(), "verify", "--out", out.string()});
    INFO(verified.out << verified.err);
    CHECK(verified.exit_code == 0);
}
