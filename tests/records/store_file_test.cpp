#include "daemon/records/store.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "daemon/failure.h"
#include "daemon/records/calls_csv.h"
#include "daemon/records/files.h"
#include "daemon/records/passages_csv.h"
#include "tests/records/sample_rows.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

void check_failure(const std::filesystem::path& file, const std::string& said) {
    INFO(file);
    try {
        Store store(file);
        FAIL("nothing was thrown");
    } catch (const Failure& failure) {
        const std::string line = failure.what();
        INFO(line);
        CHECK(failure.exit_code() == kExitFailure);
        CHECK(line.find(file.string()) != std::string::npos);
        CHECK(line.find(said) != std::string::npos);
        CHECK(line.find('\n') == std::string::npos);
    }
}

} // namespace

TEST_CASE("A store that another program holds says that it is the lock") {
    const TestFolder temp;
    Store store(temp / "records.sqlite", std::chrono::milliseconds(1));
    write(store, {sample_shift(1)});
    SQLite::Database other((temp / "records.sqlite").string(), SQLite::OPEN_READWRITE);
    other.exec("BEGIN IMMEDIATE");
    try {
        write(store, {passage_row(1, 1)});
        FAIL("nothing was thrown");
    } catch (const StoreError& error) {
        CHECK_FALSE(error.row_is_bad());
    }
    other.exec("ROLLBACK");
    write(store, {passage_row(1, 1)});
    CHECK(store.read_shift(1)->passages.size() == 1);
}

TEST_CASE("The file is in WAL mode and all its tables are strict") {
    const TestFolder temp;
    const Store store(temp / "records.sqlite");
    SQLite::Database other((temp / "records.sqlite").string());
    CHECK(other.execAndGet("PRAGMA journal_mode").getString() == "wal");
    SQLite::Statement tables(other,
                             "SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND type = "
                             "'table' AND name NOT LIKE 'sqlite%'");
    int count = 0;
    while (tables.executeStep()) {
        INFO(tables.getColumn(0).getString());
        CHECK(tables.getColumn(1).getInt() == 1);
        ++count;
    }
    CHECK(count >= 10); // those of version 2, and what came after
    CHECK(store.integrity_errors().empty());
}

TEST_CASE("A file that is no store is refused in one line and left as it was") {
    const TestFolder temp;
    RealFiles files;
    const std::string text(5000, 'x');
    files.write(temp / "text", text);
    check_failure(temp / "text", "can't be used");
    CHECK(files.read(temp / "text") == text);

    SQLite::Database other((temp / "other.sqlite").string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    other.exec("CREATE TABLE cows (name TEXT)");
    check_failure(temp / "other.sqlite", "something else");
    CHECK(other.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() == 1);
}

TEST_CASE("A store of before a table was added gets it, guarded as the others, and keeps what it has") {
    const TestFolder temp;
    {
        Store store(temp / "records.sqlite");
        write(store, {sample_shift(1)});
    }
    SQLite::Database old((temp / "records.sqlite").string(), SQLite::OPEN_READWRITE);
    old.exec("DROP TABLE hand_audit_events");
    CHECK(Store(temp / "records.sqlite").shifts().size() == 1);
    old.exec(
        "INSERT INTO hand_audit_events (seq, event_id, audit_id, event, utc_ns, entered_by, auditor, "
        "takes_back, note) VALUES (99, 'audit-0001', 1, 'started', 0, 'a', 'a', '', '')");
    CHECK_THROWS_AS(old.exec("DELETE FROM hand_audit_events"), SQLite::Exception);
}

TEST_CASE("A store of a newer program is refused") {
    const TestFolder temp;
    { const Store store(temp / "records.sqlite"); }
    SQLite::Database other((temp / "records.sqlite").string(), SQLite::OPEN_READWRITE);
    other.exec("UPDATE meta SET value = '99' WHERE key = 'schema_version'");
    check_failure(temp / "records.sqlite", "99");
}

TEST_CASE("A store that can't be opened is refused") {
    const TestFolder temp;
    check_failure(temp / "missing/records.sqlite", "can't be used");
    check_failure(temp.path(), "can't be used");
}

TEST_CASE("A damaged store is found by the integrity check or refused, never taken for whole") {
    const TestFolder temp;
    {
        Store store(temp / "records.sqlite");
        std::vector<StoreRow> rows = {sample_shift(1)};
        for (int i = 1; i <= 500; ++i) rows.push_back(passage_row(1, i));
        write(store, rows);
    }
    RealFiles files;
    std::string bytes = *files.read(temp / "records.sqlite");
    REQUIRE(bytes.size() > 40000);
    for (std::size_t at = 20000; at < 40000; ++at) bytes[at] = 'x';
    files.write(temp / "records.sqlite", bytes);
    std::string found;
    try {
        found = Store(temp / "records.sqlite").integrity_errors();
    } catch (const Failure& failure) {
        found = failure.what();
    }
    CHECK_FALSE(found.empty());
}

TEST_CASE("A store opened for reading is read, takes nothing and stays byte for byte as it was") {
    const TestFolder temp;
    const std::filesystem::path file = temp / "records.db";
    {
        Store store(file);
        write(store, {sample_shift(1)});
    }
    const std::string before = temp.text("records.db");
    {
        Store store = Store::for_reading(file);
        REQUIRE(store.shifts().size() == 1);
        CHECK(store.shifts()[0].shift_id == 1);
        CHECK_THROWS_AS(write(store, {sample_shift(2)}), StoreError);
        CHECK_THROWS_AS(store.change([](SQLite::Database& database) { database.exec("DELETE FROM shifts"); }),
                        StoreError);
    }
    CHECK(temp.text("records.db") == before);
    CHECK_THROWS_AS(Store::for_reading(temp / "none.db"), Failure);
    CHECK_FALSE(std::filesystem::exists(temp / "none.db"));
}

TEST_CASE("The newest passages are read without the shifts before them") {
    const TestFolder temp;
    Store store(temp / "records.db");
    for (std::int64_t shift = 1; shift <= 3; ++shift) {
        write(store, {sample_shift(shift), passage_row(shift, 1), passage_row(shift, 2)});
    }
    const SpanRows two = store.read_newest(2, false);
    REQUIRE(two.shifts.size() == 1);
    CHECK(two.shifts[0].shift_id == 3);
    CHECK(two.passages.size() == 2);
    const SpanRows three = store.read_newest(3, false);
    REQUIRE(three.shifts.size() == 2);
    CHECK(three.shifts[0].shift_id == 2);
    CHECK(three.passages.front().shift_id == 2);
    CHECK(store.read_newest(100, false).passages.size() == 6);
    CHECK(store.read_newest(3, true).shifts.size() == 2); // both of each were vocal
}
