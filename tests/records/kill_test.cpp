// A child writes rows and tells over a pipe which of them were acknowledged; it is killed at a random moment;
// every acknowledged row must be in the store.
#include <poll.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdint>
#include <cstdlib>
#include <random>

#include "daemon/ledger/store_check.h"
#include "daemon/records/calls_csv.h"
#include "daemon/records/passages_csv.h"
#include "daemon/records/store_writer.h"
#include "tests/records/sample_rows.h"
#include "tests/test_folder.h"

using namespace quietpass;
using namespace std::chrono_literals;

namespace {

constexpr int kAnimalsAFlush = 3;

// More by hand, where minutes don't matter.
int kills_wished() {
    const char* const wished = std::getenv("QUIETPASS_KILLS");
    return wished != nullptr ? std::atoi(wished) : 20;
}

[[noreturn]] void write_until_killed(const std::filesystem::path& file, int acknowledged) {
    try {
        StoreWriterOptions options;
        options.batch_rows = 4; // so that kills fall between the transactions of one flush too
        StoreWriter writer(Store(file), options);
        const std::int64_t shift_id = writer.open_shift(sample_shift(0));
        for (std::int32_t animal = 1;; ++animal) {
            writer.post(call_row(shift_id, animal));
            writer.post(EdgeRow{shift_id, {30.0 * animal, Role::kStunned, true}, kSampleUtc});
            writer.post(passage_row(shift_id, animal));
            if (animal % kAnimalsAFlush != 0) continue;
            if (!writer.flush(10s)) ::_exit(2);
            if (::write(acknowledged, &animal, sizeof animal) != sizeof animal) ::_exit(3);
        }
    } catch (...) {
        ::_exit(4);
    }
}

// Reads what the child acknowledged for `how_long`, or to the end of the pipe; the last number is kept in
// `last`.
void listen(int acknowledged, std::chrono::microseconds how_long, bool to_the_end, std::int32_t& last) {
    const auto end = std::chrono::steady_clock::now() + how_long;
    for (;;) {
        const auto left =
            std::chrono::duration_cast<std::chrono::nanoseconds>(end - std::chrono::steady_clock::now());
        if (!to_the_end && left <= 0ns) return;
        const timespec wait{left.count() / 1000000000, left.count() % 1000000000};
        pollfd ready{acknowledged, POLLIN, 0};
        if (::ppoll(&ready, 1, to_the_end ? nullptr : &wait, nullptr) <= 0) continue;
        if (::read(acknowledged, &last, sizeof last) != sizeof last) return;
    }
}

} // namespace

TEST_CASE("Every acknowledged row is there after a kill at any of many random moments") {
    const TestFolder temp;
    const std::filesystem::path file = temp / "records.sqlite";
    std::mt19937 random(20260308);
    std::uniform_int_distribution<int> microseconds(0, 15000);
    const int kills = kills_wished();
    for (int kill = 1; kill <= kills; ++kill) {
        std::array<int, 2> pipe_ends{};
        REQUIRE(::pipe(pipe_ends.data()) == 0);
        const pid_t child = ::fork();
        REQUIRE(child >= 0);
        if (child == 0) {
            ::close(pipe_ends[0]);
            write_until_killed(file, pipe_ends[1]);
        }
        ::close(pipe_ends[1]);

        std::int32_t last = 0;
        // The first acknowledgement proves that the child is at work; then any moment will do.
        REQUIRE(::read(pipe_ends[0], &last, sizeof last) == sizeof last);
        listen(pipe_ends[0], std::chrono::microseconds(microseconds(random)), false, last);
        REQUIRE(::kill(child, SIGKILL) == 0);
        int status = 0;
        REQUIRE(::waitpid(child, &status, 0) == child);
        REQUIRE((WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL));
        listen(pipe_ends[0], 0us, true, last);
        ::close(pipe_ends[0]);

        INFO("kill " << kill << ", " << last << " animals acknowledged");
        const Store store(file);
        CHECK(store.integrity_errors().empty());
        store.read([](SQLite::Database& database) {
            const LedgerVerdict verdict = check_store(database);
            CHECK((verdict.misfit ? words_of(*verdict.misfit) : "") == "");
        });
        REQUIRE(store.open_shifts().size() == static_cast<std::size_t>(kill));
        const ShiftRows rows = *store.read_shift(kill);
        REQUIRE(rows.passages.size() >= static_cast<std::size_t>(last));
        REQUIRE(rows.calls.size() >= static_cast<std::size_t>(last));
        REQUIRE(rows.edges.size() >= static_cast<std::size_t>(last));
        std::vector<Passage> passages;
        std::vector<StationCall> calls;
        for (std::int32_t animal = 1; animal <= last; ++animal) {
            passages.push_back(sample_passage(animal));
            calls.push_back(sample_call(animal));
        }
        const auto count = static_cast<std::size_t>(last);
        CHECK(passages_csv(std::span(rows.passages).first(count)) == passages_csv(passages));
        CHECK(calls_csv(Species::kCattle, std::span(rows.calls).first(count)) ==
              calls_csv(Species::kCattle, calls));
    }
}
