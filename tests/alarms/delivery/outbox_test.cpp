#include <SQLiteCpp/Database.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "daemon/alarms/delivery/outbox.h"
#include "daemon/failure.h"
#include "tests/alarms/delivery/sample_message.h"
#include "tests/test_folder.h"

using namespace quietpass;
using test::sample_message;

TEST_CASE("a message comes back from the outbox as it was put, for each of its channels", "[delivery]") {
    const TestFolder folder;
    AlarmMessage message = sample_message("m-1");
    message.headline = "Schrei nach Betäubung „17“";
    message.facts["odd"] = "\"quotes\"\nand\tmore";
    {
        Outbox outbox(folder / "outbox.db");
        CHECK(outbox.put(message, {"web", "lamp"}, 5));
    }
    const Outbox outbox(folder / "outbox.db");
    const auto rows = outbox.waiting();
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].channel == "lamp");
    CHECK(rows[1].channel == "web");
    for (const OutboxRow& row : rows) {
        CHECK(row.message.id == "m-1");
        CHECK(row.message.alarm == message.alarm);
        CHECK(row.message.cause == message.cause);
        CHECK(row.message.event == message.event);
        CHECK(row.message.station == message.station);
        CHECK(row.message.utc_ns == message.utc_ns);
        CHECK(row.message.severity == message.severity);
        CHECK(row.message.count == message.count);
        CHECK(row.message.headline == message.headline);
        CHECK(row.message.text == message.text);
        CHECK(row.message.facts == message.facts);
        CHECK(row.put_utc_ns == 5);
        CHECK_FALSE(row.done);
    }
}

TEST_CASE("an id that was put before changes nothing, delivered or not", "[delivery]") {
    const TestFolder folder;
    Outbox outbox(folder / "outbox.db");
    CHECK(outbox.put(sample_message("m-1"), {"web"}, 1));
    outbox.done("m-1", "web", 2);
    CHECK_FALSE(outbox.put(sample_message("m-1"), {"web"}, 3));
    CHECK(outbox.waiting().empty());
    CHECK(outbox.rows().size() == 1);
}

TEST_CASE("what a channel acknowledged waits no more, and failures are kept to look at", "[delivery]") {
    const TestFolder folder;
    Outbox outbox(folder / "outbox.db");
    outbox.put(sample_message("m-1"), {"mail", "web"}, 1);
    outbox.put(sample_message("m-2"), {"web"}, 2);
    outbox.failed("m-1", "web", 10, 20, "Connection refused");
    outbox.done("m-2", "web", 30);
    const auto rows = outbox.rows();
    REQUIRE(rows.size() == 3);
    CHECK(rows[0].attempts == 0);
    CHECK(rows[1].attempts == 1);
    CHECK(rows[1].last_try_utc_ns == 10);
    CHECK(rows[1].next_try_utc_ns == 20);
    CHECK(rows[1].error == "Connection refused");
    CHECK(rows[2].done);
    CHECK(rows[2].done_utc_ns == 30);
    REQUIRE(outbox.waiting().size() == 2);
    CHECK(outbox.waiting()[1].channel == "web");
}

TEST_CASE("only messages that no channel waits for are taken out when they are old", "[delivery]") {
    const TestFolder folder;
    Outbox outbox(folder / "outbox.db");
    outbox.put(sample_message("old-done"), {"web"}, 1);
    outbox.put(sample_message("old-waiting"), {"mail", "web"}, 2);
    outbox.put(sample_message("new-done"), {"web"}, 100);
    for (const char* id : {"old-done", "old-waiting", "new-done"}) outbox.done(id, "web", 101);
    CHECK(outbox.prune(50) == 1);
    const auto rows = outbox.rows();
    REQUIRE(rows.size() == 3);
    CHECK(rows[0].message.id == "old-waiting");
    CHECK(rows[2].message.id == "new-done");
}

TEST_CASE("which alarms stand survives in the outbox", "[delivery]") {
    const TestFolder folder;
    {
        Outbox outbox(folder / "outbox.db");
        outbox.put(sample_message("1", "raised", "a"), {}, 1);
        outbox.put(sample_message("2", "raised", "b"), {}, 2);
        outbox.put(sample_message("3", "raised", "c", "soon"), {}, 3);
        outbox.put(sample_message("4", "acknowledged", "a"), {}, 4);
        outbox.put(sample_message("5", "cleared", "b"), {}, 5);
        outbox.put(sample_message("6", "test", "d"), {}, 6);
    }
    const auto standing = Outbox(folder / "outbox.db").standing();
    REQUIRE(standing.size() == 2);
    CHECK(standing[0].alarm == "a");
    CHECK_FALSE(standing[0].calling);
    CHECK(standing[1].alarm == "c");
    CHECK(standing[1].severity == "soon");
    CHECK(standing[1].calling);
}

TEST_CASE("standing alarms call by severity and cause, until acknowledged or cleared, and again",
          "[delivery]") {
    StandingAlarms standing;
    CHECK_FALSE(standing.calls({}, {}));
    standing.take(sample_message("1", "raised", "a", "soon"));
    CHECK(standing.calls({}, {}));
    CHECK(standing.calls({"soon"}, {"call_after_stun"}));
    CHECK_FALSE(standing.calls({"at_once"}, {}));
    CHECK_FALSE(standing.calls({}, {"rate_up"}));
    standing.take(sample_message("2", "acknowledged", "a"));
    CHECK_FALSE(standing.calls({}, {}));
    standing.take(sample_message("3", "again", "a"));
    CHECK(standing.calls({}, {}));
    standing.take(sample_message("4", "cleared", "a"));
    CHECK_FALSE(standing.calls({}, {}));
}

TEST_CASE("an outbox that can't be used says so in one line", "[delivery]") {
    const TestFolder folder;
    folder.write("outbox.db", "this is no database, and long enough to look like none at all\n");
    const auto failure_of = [](const std::filesystem::path& file) -> std::string {
        try {
            const Outbox outbox(file);
        } catch (const Failure& failure) {
            CHECK(failure.exit_code() == kExitFailure);
            return failure.what();
        }
        return "none";
    };
    const std::string failure = failure_of(folder / "outbox.db");
    CHECK(failure.find("outbox.db: can't be used (") != std::string::npos);
    CHECK(failure.find('\n') == std::string::npos);
    CHECK(failure_of(folder / "nowhere" / "outbox.db").find("can't be used") != std::string::npos);
    {
        const Outbox made(folder / "newer.db");
        SQLite::Database database(folder.path("newer.db"), SQLite::OPEN_READWRITE);
        database.exec("UPDATE meta SET value = '99' WHERE key = 'schema_version'");
    }
    CHECK(failure_of(folder / "newer.db").find("schema version is 99") != std::string::npos);
}
