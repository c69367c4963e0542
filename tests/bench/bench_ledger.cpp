// How fast records are written with their ledger and verified, and how much room they take: a store of so
// many passages with the edges, bangs and calls of each, as a busy station writes them. CPU time, printed.
//
// Usage: bench_ledger [PASSAGES (20000)] [FILE: kept]
#include <SQLiteCpp/Database.h>

#include <cstdio>
#include <ctime>
#include <filesystem>
#include <string>
#include <vector>

#include "daemon/ledger/store_check.h"
#include "daemon/records/store.h"
#include "tests/records/sample_rows.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

constexpr int kPassagesAShift = 2000;
constexpr int kPassagesAWrite = 20; // half a second's rows of a replayed archive

double cpu_s() {
    return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

void add_animal(std::vector<StoreRow>& rows, std::int64_t shift_id, int number) {
    const double at_s = 30.0 * number;
    rows.push_back(EdgeRow{shift_id, {at_s, Role::kEntered, true}, kSampleUtc});
    rows.push_back(EdgeRow{shift_id, {at_s + 4.0, Role::kHeld, true}, kSampleUtc});
    rows.push_back(EdgeRow{shift_id, {at_s + 9.0, Role::kStunned, true}, kSampleUtc});
    rows.push_back(EdgeRow{shift_id, {at_s + 15.0, Role::kReleased, true}, kSampleUtc});
    StationNoise noise;
    noise.microphone = "head";
    noise.heard = {at_s + 5.0, at_s + 5.0, NoiseKind::kBang, -20.5};
    noise.passage_id = number;
    rows.push_back(NoiseRow{shift_id, noise, kSampleUtc});
    if (number % 5 == 0) rows.push_back(call_row(shift_id, number));
    rows.push_back(passage_row(shift_id, number));
}

} // namespace

int main(int argc, char** argv) {
    const int passages = argc > 1 ? std::stoi(argv[1]) : 20000;
    const TestFolder temp;
    const std::filesystem::path file = argc > 2 ? std::filesystem::path(argv[2]) : temp / "records.db";
    const double start_s = cpu_s();
    {
        Store store(file);
        std::vector<StoreRow> rows;
        for (int i = 0; i < passages; ++i) {
            const std::int64_t shift_id = 1 + i / kPassagesAShift;
            if (i % kPassagesAShift == 0) rows.push_back(sample_shift(shift_id));
            add_animal(rows, shift_id, 1 + i % kPassagesAShift);
            if (i % kPassagesAWrite != kPassagesAWrite - 1 && i + 1 != passages) continue;
            store.write(rows);
            rows.clear();
        }
    }
    const double written_s = cpu_s();
    SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    const LedgerVerdict verdict = check_store(database);
    const double verified_s = cpu_s();
    const auto records = static_cast<double>(verdict.records);
    std::printf("%.0f records of %d passages%s\n", records, passages, verdict.misfit ? ": BROKEN" : "");
    std::printf("  written   %8.0f a second\n", records / (written_s - start_s));
    std::printf("  verified  %8.0f a second\n", records / (verified_s - written_s));
    std::printf("  file      %8.0f bytes a record, %.0f a passage\n",
                static_cast<double>(std::filesystem::file_size(file)) / records,
                static_cast<double>(std::filesystem::file_size(file)) / passages);
    return verdict.misfit ? 1 : 0;
}
