// A record's hash covers its row as stored and the record before it; the line that is hashed is what
// FORMATS.md says, to the byte.
#include "daemon/ledger/ledger.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include <catch2/catch.hpp>

#include "daemon/ledger/evidence_tables.h"
#include "daemon/records/sha256.h"
#include "daemon/records/store.h"
#include "tests/records/sample_rows.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::string hash_at(SQLite::Database& database, std::int64_t seq) {
    SQLite::Statement query(database, "SELECT lower(hex(hash)) FROM ledger WHERE seq = ?");
    query.bind(1, seq);
    REQUIRE(query.executeStep());
    return query.getColumn(0).getString();
}

// As a stranger does it: printf '%s\n%s\n' PREVIOUS LINE | sha256sum
std::string chained(const std::string& previous, const std::string& line) {
    return sha256_hex(previous + "\n" + line + "\n");
}

} // namespace

TEST_CASE(
    "The canonical line is JSON with every column in order, without NULLs, escaped no more than needed") {
    const TestFolder temp;
    Store store(temp / "records.db");
    ShiftOpened shift = sample_shift(7);
    shift.name = "a\"b\\c\td\x01 é";
    shift.start_s = 0.1;
    shift.utc.reset();
    store.write(std::vector<StoreRow>{shift, EdgeRow{7, {1e-7, Role::kStunned, true}, {}},
                                      EdgeRow{7, {12.0, Role::kHeld, false}, {}},
                                      MicrophoneRow{7, "head", {}}});
    SQLite::Database database((temp / "records.db").string());
    std::string hash(64, '0');
    hash = chained(hash, R"({"kind":"shifts","seq":1,"shift_id":7,"station":"box-2","species":"cattle",)"
                         R"("timezone":"America/Denver","name":"a\"b\\c\u0009d\u0001 é","start_s":0.1})");
    CHECK(hash_at(database, 1) == hash);
    hash =
        chained(hash, R"({"kind":"edges","seq":2,"shift_id":7,"time_s":1e-07,"role":"stunned","closed":1})");
    CHECK(hash_at(database, 2) == hash);
    hash = chained(hash, R"({"kind":"edges","seq":3,"shift_id":7,"time_s":12,"role":"held","closed":0})");
    CHECK(hash_at(database, 3) == hash);
    hash = chained(hash, R"({"kind":"microphones","seq":4,"shift_id":7,"number":0,"name":"head"})");
    CHECK(hash_at(database, 4) == hash);
}

TEST_CASE("A column added later changes no line of before") {
    const TestFolder temp;
    Store store(temp / "records.db");
    store.write(std::vector<StoreRow>{sample_shift(1)});
    SQLite::Database database((temp / "records.db").string(), SQLite::OPEN_READWRITE);
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    Ledger ledger(database);
    const std::string before = hash_at(database, 1);
    database.exec("ALTER TABLE shifts ADD COLUMN later TEXT");
    database.exec("DROP TRIGGER ledger_no_delete");
    database.exec("DELETE FROM ledger");
    CHECK(ledger.next_seq() == 1);
    ledger.record("shifts", 1);
    CHECK(hash_at(database, 1) == before);
}

TEST_CASE("A repeated row uses up no number, and a write that fails leaves none behind") {
    const TestFolder temp;
    Store store(temp / "records.db");
    const std::vector<StoreRow> rows = {sample_shift(1), passage_row(1, 1), sample_alarm_event(1),
                                        ShiftHeard{1, 60.0, {}}};
    store.write(rows);
    store.write(rows);
    CHECK_THROWS_AS(store.write(std::vector<StoreRow>{passage_row(1, 2), passage_row(99, 3)}), StoreError);
    Store other(temp / "records.db");
    other.write(std::vector<StoreRow>{passage_row(1, 4)}); // another connection goes on where this one was
    store.write(std::vector<StoreRow>{ShiftClosed{1, 90.0, {}, "{}\n"}});
    SQLite::Database database((temp / "records.db").string());
    CHECK(database.execAndGet("SELECT group_concat(seq || kind) FROM ledger").getString() ==
          "1shifts,2passages,3alarm_events,4passages,5shift_records");
}

TEST_CASE("No row of evidence can be changed or deleted, in any table") {
    const TestFolder temp;
    Store store(temp / "records.db");
    store.write(std::vector<StoreRow>{sample_shift(1), passage_row(1, 1)});
    SQLite::Database database((temp / "records.db").string(), SQLite::OPEN_READWRITE);
    for (const std::string_view table : kEvidenceTables) {
        INFO(table);
        for (const char* const event : {"UPDATE", "DELETE"}) {
            SQLite::Statement triggers(database,
                                       "SELECT count(*) FROM sqlite_schema WHERE type = 'trigger' AND "
                                       "tbl_name = ? AND sql LIKE '%BEFORE ' || ? || '%'");
            triggers.bind(1, std::string(table));
            triggers.bind(2, event);
            REQUIRE(triggers.executeStep());
            CHECK(triggers.getColumn(0).getInt() == 1);
        }
    }
    for (const char* const sql : {"UPDATE passages SET vocal = 0", "DELETE FROM passages",
                                  "UPDATE ledger SET hash = x'00'", "DELETE FROM ledger"}) {
        INFO(sql);
        try {
            database.exec(sql);
            FAIL("it was let through");
        } catch (const SQLite::Exception& error) {
            CHECK(std::string(error.what()).find("is evidence: rows are only added") != std::string::npos);
        }
    }
}

TEST_CASE("Every table with a seq is evidence, and no other") {
    const TestFolder temp;
    const Store store(temp / "records.db");
    SQLite::Database database((temp / "records.db").string());
    SQLite::Statement tables(database,
                             "SELECT tables.name FROM pragma_table_list AS tables JOIN "
                             "pragma_table_info(tables.name) AS columns WHERE columns.name = 'seq' AND "
                             "columns.cid = 0 AND tables.name <> 'ledger'");
    std::size_t count = 0;
    while (tables.executeStep()) {
        const std::string name = tables.getColumn(0).getString();
        INFO(name);
        CHECK(std::count(kEvidenceTables.begin(), kEvidenceTables.end(), name) == 1);
        ++count;
    }
    CHECK(count == kEvidenceTables.size());
}

TEST_CASE("What a change of the store throws takes it back, rows and records alike") {
    const TestFolder temp;
    Store store(temp / "records.db");
    const auto add = [](SQLite::Database& database) {
        Ledger ledger(database);
        const std::int64_t seq = ledger.next_seq();
        database.exec("INSERT INTO accesses VALUES (" + std::to_string(seq) +
                      ", 5, 'anna', 'play', 'c', '')");
        ledger.record("accesses", seq);
    };
    store.change(add);
    CHECK_THROWS_AS(store.change([&](SQLite::Database& database) {
        add(database);
        throw std::runtime_error("changed my mind");
    }),
                    std::runtime_error);
    std::int64_t rows = 0;
    std::int64_t records = 0;
    store.read([&](SQLite::Database& database) {
        rows = database.execAndGet("SELECT count(*) FROM accesses").getInt64();
        records = database.execAndGet("SELECT count(*) FROM ledger").getInt64();
    });
    CHECK(rows == 1);
    CHECK(records == 1);
    try {
        store.change(
            [](SQLite::Database& database) { database.exec("INSERT INTO accesses (seq) VALUES (9)"); });
        FAIL("nothing was thrown");
    } catch (const StoreError& error) {
        CHECK(error.row_is_bad());
    }
}
