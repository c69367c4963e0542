#include "daemon/records/store_writer.h"

#include <SQLiteCpp/Database.h>
#include <sys/resource.h>

#include <catch2/catch.hpp>
#include <condition_variable>
#include <csignal>
#include <mutex>
#include <thread>

#include "tests/records/sample_rows.h"
#include "tests/test_folder.h"

using namespace quietpass;
using namespace std::chrono_literals;

namespace {

constexpr auto kLong = 20s;

// Keeps what the writer reports and lets a test await a state.
class Reports {
  public:
    void add(const StoreState& state) {
        const std::lock_guard lock(mutex_);
        states_.push_back(state);
        more_.notify_all();
    }
    bool await(const std::function<bool(const StoreState&)>& wanted) {
        std::unique_lock lock(mutex_);
        return more_.wait_for(lock, kLong,
                              [&] { return std::any_of(states_.begin(), states_.end(), wanted); });
    }

  private:
    std::mutex mutex_;
    std::condition_variable more_;
    std::vector<StoreState> states_;
};

// Holds the store's write lock, as a backup that takes its time does.
class LockedStore {
  public:
    explicit LockedStore(const std::filesystem::path& file)
        : database_(file.string(), SQLite::OPEN_READWRITE) {
        database_.exec("BEGIN IMMEDIATE");
    }
    void release() { database_.exec("ROLLBACK"); }

  private:
    SQLite::Database database_;
};

// No file may grow beyond this while it lives: as good as a full disk, without one.
class FileSizeLimit {
  public:
    explicit FileSizeLimit(std::uintmax_t bytes) : signal_before_(std::signal(SIGXFSZ, SIG_IGN)) {
        ::getrlimit(RLIMIT_FSIZE, &before_);
        rlimit limit = before_;
        limit.rlim_cur = bytes;
        ::setrlimit(RLIMIT_FSIZE, &limit);
    }
    ~FileSizeLimit() {
        ::setrlimit(RLIMIT_FSIZE, &before_);
        std::signal(SIGXFSZ, signal_before_);
    }
    FileSizeLimit(const FileSizeLimit&) = delete;
    FileSizeLimit& operator=(const FileSizeLimit&) = delete;

  private:
    void (*signal_before_)(int);
    rlimit before_{};
};

Store impatient_store(const std::filesystem::path& file) {
    return Store(file, 1ms);
}

std::size_t passages_in(const std::filesystem::path& file, std::int64_t shift_id) {
    return Store(file).read_shift(shift_id)->passages.size();
}

} // namespace

TEST_CASE("What was flushed is in the file") {
    const TestFolder temp;
    StoreWriter writer{Store(temp / "r.sqlite")};
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    for (int i = 1; i <= 1000; ++i) REQUIRE(writer.post(passage_row(shift_id, i)));
    REQUIRE(writer.flush(kLong));
    CHECK(passages_in(temp / "r.sqlite", shift_id) == 1000);
    const StoreState state = writer.state();
    CHECK(state.written == 1001);
    CHECK(state.waiting == 0);
    CHECK_FALSE(state.failing);
    CHECK(state.error.empty());
    CHECK(writer.flush(0ms));
}

TEST_CASE("Rows are written without a flush, when they are old enough or enough of them wait") {
    const TestFolder temp;
    StoreWriterOptions options;
    SECTION("old enough") {
        options.batch_delay = 5ms;
    }
    SECTION("enough of them") {
        options.batch_delay = 1h;
        options.batch_rows = 3;
    }
    StoreWriter writer{Store(temp / "r.sqlite"), options};
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    writer.post(passage_row(shift_id, 1));
    writer.post(passage_row(shift_id, 2));
    const auto deadline = std::chrono::steady_clock::now() + kLong;
    while (writer.state().written < 3 && std::chrono::steady_clock::now() < deadline)
        std::this_thread::yield();
    CHECK(passages_in(temp / "r.sqlite", shift_id) == 2);
}

TEST_CASE("The writer's end writes what waits") {
    const TestFolder temp;
    StoreWriterOptions options;
    options.batch_delay = 1h;
    options.batch_rows = 7;
    {
        StoreWriter writer{Store(temp / "r.sqlite"), options};
        const std::int64_t shift_id = writer.open_shift(sample_shift(0));
        for (int i = 1; i <= 100; ++i) writer.post(passage_row(shift_id, i));
    }
    CHECK(passages_in(temp / "r.sqlite", 1) == 100);
}

TEST_CASE("Shifts get ids that no shift in the file has") {
    const TestFolder temp;
    {
        StoreWriter writer{Store(temp / "r.sqlite")};
        CHECK(writer.open_shift(sample_shift(0)) == 1);
        CHECK(writer.open_shift(sample_shift(0)) == 2);
    }
    StoreWriter writer{Store(temp / "r.sqlite")};
    CHECK(writer.open_shift(sample_shift(0)) == 3);
    REQUIRE(writer.flush(kLong));
    CHECK(Store(temp / "r.sqlite").open_shifts().size() == 3);
}

TEST_CASE("Rows posted from several threads are all there") {
    const TestFolder temp;
    StoreWriter writer{Store(temp / "r.sqlite")};
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    std::vector<std::thread> threads;
    for (int t = 0; t < 4; ++t) {
        threads.emplace_back([&writer, shift_id, t] {
            for (int i = 1; i <= 100; ++i) writer.post(passage_row(shift_id, t * 1000 + i));
            writer.flush(kLong);
        });
    }
    for (std::thread& thread : threads) thread.join();
    CHECK(passages_in(temp / "r.sqlite", shift_id) == 400);
}

TEST_CASE("While the store is locked rows wait and the state says so, and then all are written") {
    const TestFolder temp;
    Reports reports;
    StoreWriterOptions options;
    options.batch_delay = 1ms;
    options.retry_after = 5ms;
    StoreWriter writer(impatient_store(temp / "r.sqlite"), options,
                       [&reports](const StoreState& state) { reports.add(state); });
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    REQUIRE(writer.flush(kLong));

    LockedStore locked(temp / "r.sqlite");
    for (int i = 1; i <= 50; ++i) CHECK(writer.post(passage_row(shift_id, i)));
    REQUIRE(reports.await([](const StoreState& state) { return state.failing && !state.error.empty(); }));
    CHECK_FALSE(writer.flush(1ms));
    CHECK(writer.state().waiting == 50);

    locked.release();
    REQUIRE(writer.flush(kLong));
    CHECK_FALSE(writer.state().failing);
    CHECK(writer.state().error.empty());
    CHECK(reports.await([](const StoreState& state) { return !state.failing; }));
    CHECK(passages_in(temp / "r.sqlite", shift_id) == 50);
}

TEST_CASE("On a full disk the process goes on, and when there is space again every row is written") {
    const TestFolder temp;
    Reports reports;
    StoreWriterOptions options;
    options.batch_delay = 1ms;
    options.retry_after = 5ms;
    StoreWriter writer(Store(temp / "r.sqlite"), options,
                       [&reports](const StoreState& state) { reports.add(state); });
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    for (int i = 1; i <= 10; ++i) writer.post(passage_row(shift_id, i));
    REQUIRE(writer.flush(kLong));
    {
        const FileSizeLimit full(std::filesystem::file_size(temp / "r.sqlite-wal") + 5000);
        for (int i = 11; i <= 1000; ++i) CHECK(writer.post(passage_row(shift_id, i)));
        REQUIRE(reports.await([](const StoreState& state) { return state.failing; }));
        CHECK_FALSE(writer.flush(1ms));
        CHECK(passages_in(temp / "r.sqlite", shift_id) >= 10);
    }
    REQUIRE(writer.flush(kLong));
    CHECK(passages_in(temp / "r.sqlite", shift_id) == 1000);
    CHECK(Store(temp / "r.sqlite").integrity_errors().empty());
}

TEST_CASE("When too many rows wait the newest are dropped, counted and reported") {
    const TestFolder temp;
    Reports reports;
    StoreWriterOptions options;
    options.batch_delay = 1ms;
    options.retry_after = 5ms;
    options.capacity = 10;
    StoreWriter writer(impatient_store(temp / "r.sqlite"), options,
                       [&reports](const StoreState& state) { reports.add(state); });
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    REQUIRE(writer.flush(kLong));

    LockedStore locked(temp / "r.sqlite");
    for (int i = 1; i <= 15; ++i) CHECK(writer.post(passage_row(shift_id, i)) == (i <= 10));
    CHECK(reports.await([](const StoreState& state) { return state.dropped == 5; }));
    locked.release();
    CHECK_FALSE(writer.flush(kLong)); // five rows are lost: never a clean flush again
    CHECK(writer.state().waiting == 0);
    CHECK(writer.state().error.find("5 rows were dropped") != std::string::npos);
    const auto passages = Store(temp / "r.sqlite").read_shift(shift_id)->passages;
    REQUIRE(passages.size() == 10);
    CHECK(passages.back().id == 10);
}

TEST_CASE("A row that can never be stored is left out and reported, and its neighbours are kept") {
    const TestFolder temp;
    Reports reports;
    StoreWriter writer(Store(temp / "r.sqlite"), {},
                       [&reports](const StoreState& state) { reports.add(state); });
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    for (int i = 1; i <= 20; ++i) writer.post(passage_row(i == 10 ? 99 : shift_id, i));
    CHECK_FALSE(writer.flush(kLong));
    CHECK(writer.state().malformed == 1);
    CHECK(writer.state().waiting == 0);
    CHECK_FALSE(writer.state().failing);
    CHECK(reports.await([](const StoreState& state) { return state.malformed == 1; }));
    CHECK(passages_in(temp / "r.sqlite", shift_id) == 19);
}

TEST_CASE("A disk that never comes back does not hold up the end for longer than was allowed") {
    const TestFolder temp;
    StoreWriterOptions options;
    options.last_flush = 20ms;
    options.retry_after = 1h;
    auto writer = std::make_unique<StoreWriter>(impatient_store(temp / "r.sqlite"), options);
    const LockedStore locked(temp / "r.sqlite");
    writer->open_shift(sample_shift(0));
    CHECK_FALSE(writer->flush(5ms));
    const auto begin = std::chrono::steady_clock::now();
    writer.reset();
    CHECK(std::chrono::steady_clock::now() - begin < kLong);
    CHECK(Store(temp / "r.sqlite").shifts().empty());
}

TEST_CASE("A callback that throws does not end the writer") {
    const TestFolder temp;
    StoreWriterOptions options;
    options.retry_after = 1ms;
    StoreWriter writer(impatient_store(temp / "r.sqlite"), options,
                       [](const StoreState&) { throw std::runtime_error("a bug elsewhere"); });
    LockedStore locked(temp / "r.sqlite");
    const std::int64_t shift_id = writer.open_shift(sample_shift(0));
    CHECK_FALSE(writer.flush(20ms));
    locked.release();
    CHECK(writer.flush(kLong));
    CHECK(Store(temp / "r.sqlite").read_shift(shift_id));
}
