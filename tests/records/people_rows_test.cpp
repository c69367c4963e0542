// What people enter: it comes back as it went in, and nothing that was entered is ever altered.
#include <SQLiteCpp/Database.h>

#include <catch2/catch.hpp>

#include "daemon/records/row_reader.h"
#include "daemon/records/store.h"
#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

JournalEntry entry_at(EntryKind kind, std::int64_t at_utc_ns, const std::string& text) {
    JournalEntry entry;
    entry.kind = kind;
    entry.at_utc_ns = at_utc_ns;
    entry.text = text;
    entry.added_utc_ns = 99;
    return entry;
}

} // namespace

TEST_CASE("Journal entries of every kind come back in the order entered, with ids of their own") {
    const TestFolder temp;
    {
        Store store(temp / "records.db");
        CHECK(store.add(entry_at(EntryKind::kLot, 300, "north \"7\"")) == 1);
        JournalEntry note = entry_at(EntryKind::kNote, 100, "rain");
        note.until_utc_ns = 200;
        note.by = "anna";
        CHECK(store.add(note) == 2);
        JournalEntry change = entry_at(EntryKind::kChange, 50, "lamp moved");
        change.station_part = "light";
        store.add(change);
        store.add(entry_at(EntryKind::kLotEnd, 400, ""));
        JournalEntry withdrawal = entry_at(EntryKind::kWithdrawn, 500, "");
        withdrawal.withdraws = 2;
        CHECK(store.add(withdrawal) == 5);
    }
    const std::vector<JournalEntry> journal = Store(temp / "records.db").journal();
    REQUIRE(journal.size() == 5);
    CHECK(journal[0].text == "north \"7\"");
    CHECK(journal[0].kind == EntryKind::kLot);
    CHECK_FALSE(journal[0].until_utc_ns);
    CHECK(journal[1].until_utc_ns == 200);
    CHECK(journal[1].by == "anna");
    CHECK(journal[1].added_utc_ns == 99);
    CHECK(journal[2].kind == EntryKind::kChange);
    CHECK(journal[2].station_part == "light");
    CHECK(journal[3].kind == EntryKind::kLotEnd);
    CHECK(journal[4].withdraws == 2);
}

TEST_CASE("A withdrawal of what was never entered is refused by the store") {
    const TestFolder temp;
    Store store(temp / "records.db");
    JournalEntry withdrawal = entry_at(EntryKind::kWithdrawn, 500, "");
    withdrawal.withdraws = 17;
    CHECK_THROWS_AS(store.add(withdrawal), StoreError);
    CHECK(store.journal().empty());
}

TEST_CASE("A hand audit comes back with its rows, or is not there at all") {
    const TestFolder temp;
    HandAudit audit;
    audit.added_utc_ns = 7;
    audit.file = "monday.csv";
    audit.sha256 = "abc";
    audit.rows = {{1, 12, std::nullopt, true, "anna", "twice"},
                  {std::nullopt, std::nullopt, 500, false, "", ""}};
    Store store(temp / "records.db");
    CHECK(store.add(audit) == 1);
    audit.withdraws = 1;
    audit.rows.clear();
    CHECK(store.add(audit) == 2);
    const std::vector<HandAudit> audits = store.hand_audits();
    REQUIRE(audits.size() == 2);
    CHECK(audits[0].file == "monday.csv");
    CHECK(audits[0].added_utc_ns == 7);
    REQUIRE(audits[0].rows.size() == 2);
    CHECK(audits[0].rows[0].passage_id == 12);
    CHECK(audits[0].rows[0].vocal);
    CHECK(audits[0].rows[0].note == "twice");
    CHECK_FALSE(audits[0].rows[0].at_utc_ns);
    CHECK(audits[0].rows[1].at_utc_ns == 500);
    CHECK_FALSE(audits[0].rows[1].shift_id);
    CHECK(audits[1].withdraws == 1);
}

TEST_CASE("A person's entry waits for the daemon's write and both are there") {
    const TestFolder temp;
    MadeStore daemon(temp / "records.db");
    daemon.shift("2026-03-02T13:00:00Z");
    Store person(temp / "records.db");
    daemon.add(3);
    person.add(entry_at(EntryKind::kNote, 1, "rain"));
    daemon.add(3);
    CHECK(daemon.store().journal().size() == 1);
    CHECK(person.read_shift(1)->passages.size() == 6);
}

TEST_CASE("A span has the passages of the shifts that it touches, with their counted calls") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z");
    made.add(2);
    made.add(1, {.vocal = true, .phase = Phase::kHeld});
    made.close();
    made.shift("2026-03-03T13:00:00Z");
    made.add(4);

    const SpanRows all = made.store().read_span({});
    CHECK(all.shifts.size() == 2);
    REQUIRE(all.passages.size() == 7);
    CHECK(all.passages[2].passage.vocal);
    REQUIRE(all.passages[2].calls.size() == 1);
    CHECK(all.passages[2].calls[0].phase == Phase::kHeld);
    CHECK(all.passages[0].entered_utc_ns == utc_from_text("2026-03-02T13:00:30Z"));
    CHECK(all.passages[3].shift_id == 2);

    RecordSpan second;
    second.from_utc_ns = utc_from_text("2026-03-03T00:00:00Z");
    CHECK(made.store().read_span(second).passages.size() == 4);
    RecordSpan first;
    first.to_utc_ns = second.from_utc_ns;
    CHECK(made.store().read_span(first).passages.size() == 3);
    RecordSpan by_id;
    by_id.shift_id = 1;
    CHECK(made.store().read_span(by_id).shifts.size() == 1);
    RecordSpan neither = by_id;
    neither.from_utc_ns = second.from_utc_ns;
    CHECK(made.store().read_span(neither).shifts.empty());
    by_id.shift_id = 3;
    CHECK(made.store().read_span(by_id).shifts.empty());
}

TEST_CASE("The newest shifts are the last ones, or the last before one of them, oldest first") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    for (const char* start : {"2026-03-02T13:00:00Z", "2026-03-03T13:00:00Z", "2026-03-04T13:00:00Z"}) {
        made.shift(start);
        made.add(1);
        made.close();
    }
    const auto newest = [&](std::int64_t most, std::optional<std::int64_t> before) {
        std::vector<std::int64_t> ids;
        made.store().read([&](SQLite::Database& database) {
            for (const StoredShift& shift : read_newest_shifts(database, most, before))
                ids.push_back(shift.shift_id);
        });
        return ids;
    };
    CHECK(newest(2, {}) == std::vector<std::int64_t>{2, 3});
    CHECK(newest(9, 3) == std::vector<std::int64_t>{1, 2});
    CHECK(newest(1, 3) == std::vector<std::int64_t>{2});
    CHECK(newest(1, 1).empty());
}
