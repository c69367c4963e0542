// The store on a disk that loses its power before any step it makes: what was acknowledged is there, whole
// and chained, and nothing that is there is half a row.
#include <catch2/catch.hpp>

#include <cstdlib>
#include <random>
#include <vector>

#include "daemon/ledger/store_check.h"
#include "daemon/records/passages_csv.h"
#include "daemon/records/store.h"
#include "tests/records/sample_rows.h"
#include "tests/records/unsynced_disk.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

constexpr int kAnimals = 400;

int cuts_wished() {
    const char* const wished = std::getenv("QUIETPASS_POWER_CUTS");
    return wished != nullptr ? std::atoi(wished) : 40;
}

std::vector<StoreRow> rows_of(int animal) {
    return {call_row(1, animal), EdgeRow{1, {30.0 * animal, Role::kStunned, true}, kSampleUtc},
            passage_row(1, animal)};
}

// Animals whose write had returned when the power went; −1: not even the shift.
int write_until_cut(const std::filesystem::path& file, const UnsyncedDisk& disk) {
    Store store(file);
    if (disk.was_cut()) return -1;
    store.write(std::vector<StoreRow>{sample_shift(1)});
    if (disk.was_cut()) return -1;
    for (int animal = 1; animal <= kAnimals; ++animal) {
        store.write(rows_of(animal));
        if (disk.was_cut()) return animal - 1;
    }
    return kAnimals;
}

std::uint64_t steps_of_it_all() {
    const TestFolder folder;
    const UnsyncedDisk disk(std::uint64_t(-1), 0, folder / "remains");
    write_until_cut(folder / "records.db", disk);
    return disk.steps();
}

} // namespace

TEST_CASE("A power loss before any step of writing leaves every acknowledged row, and no half one") {
    const std::uint64_t steps = steps_of_it_all();
    REQUIRE(steps > 2000); // with checkpoints among them
    std::mt19937 random(20260309);
    std::uniform_int_distribution<std::uint64_t> any_step(0, steps - 1);
    int cuts_among_rows = 0;
    for (int cut = 0; cut < cuts_wished(); ++cut) {
        const TestFolder folder;
        const std::uint64_t before = any_step(random);
        int acknowledged = 0;
        {
            const UnsyncedDisk disk(before, static_cast<std::uint32_t>(random()), folder / "remains");
            acknowledged = write_until_cut(folder / "records.db", disk);
            REQUIRE(disk.was_cut());
        }
        INFO("power lost before step " << before << " of " << steps << ", " << acknowledged
                                       << " animals acknowledged");
        if (acknowledged < 0) continue; // nothing was promised yet
        const Store store(folder / "remains" / "records.db");
        CHECK(store.integrity_errors().empty());
        store.read([](SQLite::Database& database) {
            const LedgerVerdict verdict = check_store(database);
            CHECK((verdict.misfit ? words_of(*verdict.misfit) : "") == "");
        });
        const auto rows = store.read_shift(1);
        REQUIRE(rows);
        // The write that was under way may be there as well, whole.
        REQUIRE(rows->passages.size() >= static_cast<std::size_t>(acknowledged));
        REQUIRE(rows->passages.size() <= static_cast<std::size_t>(acknowledged) + 1);
        CHECK(rows->calls.size() == rows->passages.size());
        CHECK(rows->edges.size() == rows->passages.size());
        std::vector<Passage> written;
        for (int animal = 1; animal <= static_cast<int>(rows->passages.size()); ++animal)
            written.push_back(sample_passage(animal));
        CHECK(passages_csv(rows->passages) == passages_csv(written));
        ++cuts_among_rows;
    }
    CHECK(cuts_among_rows > cuts_wished() / 2);
}
