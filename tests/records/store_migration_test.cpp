// A store of an older program goes on with this one: all its rows, each now a record of the ledger, and the
// file as it was kept beside it.
#include "daemon/records/store_migration.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/ledger/store_check.h"
#include "daemon/records/store.h"
#include "tests/records/old_store.h"
#include "tests/records/sample_rows.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::vector<std::filesystem::path> copies_in(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> copies;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.path().filename().string().find("records.db.v") == 0) copies.push_back(entry.path());
    }
    return copies;
}

std::string kinds_in_order(SQLite::Database& database) {
    SQLite::Statement query(database, "SELECT kind FROM ledger ORDER BY seq");
    std::string kinds;
    while (query.executeStep()) kinds += query.getColumn(0).getString() + " ";
    return kinds;
}

} // namespace

TEST_CASE("A store of version 3 keeps its rows and each is chained, shift by shift") {
    const TestFolder temp;
    make_old_store(temp / "records.db", 3);
    Store store(temp / "records.db");
    const ShiftRows rows = *store.read_shift(1);
    CHECK(rows.shift.end_s == 3600.0);
    CHECK(rows.shift.heard_until_s == 3590.5);
    CHECK(rows.shift.record_json == "{\"station\": \"box-2\"}\n");
    REQUIRE(rows.passages.size() == 2);
    CHECK(rows.passages[0].entered_s == 30.1);
    CHECK(rows.passages[0].flags == std::vector<std::string>{"second_stun", "never_released"});
    CHECK_FALSE(rows.passages[0].bangs);
    REQUIRE(rows.calls.size() == 1);
    CHECK(rows.calls[0].reason == "why \"it\"");
    CHECK(rows.gaps.size() == 1);
    CHECK(rows.edges.size() == 2);
    CHECK(rows.contact_faults.size() == 1);
    REQUIRE(rows.microphones.size() == 2);
    CHECK(rows.microphones[0].name == "race");
    CHECK(rows.noises.size() == 1);
    REQUIRE(store.open_shifts().size() == 1);
    CHECK(store.open_shifts()[0].heard_until_s == 4000.25);
    REQUIRE(store.alarm_events().size() == 2);
    CHECK(store.alarm_events()[1].event_id == 2);
    CHECK(store.alarm_events()[1].by == "M. Berg");
    REQUIRE(store.journal().size() == 2);
    CHECK(store.journal()[1].withdraws == 1);
    REQUIRE(store.hand_audits().size() == 1);
    CHECK(store.hand_audits()[0].rows.size() == 1);

    SQLite::Database database((temp / "records.db").string());
    CHECK(kinds_in_order(database) ==
          "shifts microphones microphones edges edges contact_faults gaps noises calls passages passages "
          "shift_records shifts passages alarm_events alarm_events journal journal hand_audits "
          "hand_audit_rows ");
    CHECK(database.execAndGet("SELECT count(*) FROM sqlite_schema WHERE name LIKE 'old%'").getInt() == 0);
    CHECK(store.integrity_errors().empty());
    CHECK_FALSE(check_store(database).misfit);
}

TEST_CASE("The store as it was is beside the moved one") {
    const TestFolder temp;
    make_old_store(temp / "records.db", 3);
    { const Store store(temp / "records.db"); }
    { const Store again(temp / "records.db"); } // moved once only
    const auto copies = copies_in(temp.path());
    REQUIRE(copies.size() == 1);
    SQLite::Database copy(copies[0].string());
    CHECK(copies[0].filename().string().find("records.db.v3-2") == 0);
    CHECK(copy.execAndGet("SELECT value FROM meta").getString() == "3");
    CHECK(copy.execAndGet("SELECT count(*) FROM passages").getInt() == 3);
    CHECK(copy.execAndGet("SELECT count(*) FROM hand_audit_rows").getInt() == 1);
}

TEST_CASE("Stores of versions 1 and 2 get the tables they lack and go on") {
    for (const int version : {1, 2}) {
        INFO(version);
        const TestFolder temp;
        make_old_store(temp / "records.db", version);
        Store store(temp / "records.db");
        CHECK(store.read_shift(1)->passages.size() == 2);
        CHECK(store.read_shift(1)->shift.end_s == 3600.0);
        store.write(std::vector<StoreRow>{MicrophoneRow{2, "head", {}}, sample_alarm_event(1)});
        CHECK(store.alarm_events().size() == 1);
        CHECK(store.read_shift(2)->microphones.size() == 1);
        CHECK(copies_in(temp.path()).size() == 1);
    }
}

TEST_CASE("A store that can't be moved is left as it was and said so in one line") {
    const TestFolder temp;
    make_old_store(temp / "records.db", 3);
    {
        // A view in the place of a new table: the move fails half-way, after the copy.
        SQLite::Database old((temp / "records.db").string(), SQLite::OPEN_READWRITE);
        old.exec("CREATE VIEW heads AS SELECT 1");
    }
    try {
        const Store store(temp / "records.db");
        FAIL("nothing was thrown");
    } catch (const Failure& failure) {
        CHECK(std::string(failure.what()).find("records.db") != std::string::npos);
        CHECK(std::string(failure.what()).find('\n') == std::string::npos);
    }
    SQLite::Database old((temp / "records.db").string(), SQLite::OPEN_READWRITE);
    CHECK(old.execAndGet("SELECT value FROM meta").getString() == "3");
    CHECK(old.execAndGet("SELECT count(*) FROM passages").getInt() == 3);
    CHECK(old.execAndGet("SELECT record_json FROM shifts WHERE shift_id = 1").getString() ==
          "{\"station\": \"box-2\"}\n");
    old.exec("DROP VIEW heads");
    const Store moved(temp / "records.db");
    CHECK(moved.read_shift(1)->passages.size() == 2);
}
