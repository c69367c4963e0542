#include "daemon/factors/passage_facts.h"

#include <catch2/catch.hpp>

#include "daemon/records/document_rows.h"
#include "daemon/records/sha256.h"
#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::vector<PassageFacts> span_facts_in(MadeStore& made, const RecordSpan& span = {}) {
    return facts_of(made.store().read_span(span), Journal(made.store().journal()), span);
}

JournalEntry lot_at(std::int64_t at_utc_ns, const std::string& name) {
    JournalEntry entry;
    entry.kind = EntryKind::kLot;
    entry.at_utc_ns = at_utc_ns;
    entry.text = name;
    return entry;
}

} // namespace

TEST_CASE("A passage's phase, hold time, hour, lot and notes are read from the store") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z", 1000.0);
    made.add(3);
    made.add(1, {.vocal = true, .phase = Phase::kAtStun, .held_for_s = 12.5});
    made.store().add(lot_at(made.utc_ns(2500.0), "north"));
    JournalEntry note = lot_at(made.utc_ns(3500.0), "rain");
    note.kind = EntryKind::kNote;
    made.store().add(note);

    const std::vector<PassageFacts> facts = span_facts_in(made);
    REQUIRE(facts.size() == 4);
    CHECK(facts[3].vocal());
    CHECK(facts[3].vocal_in_phase(Phase::kAtStun));
    CHECK_FALSE(facts[3].vocal_in_phase(Phase::kEntry));
    CHECK(*facts[3].held_for_s == Approx(12.5));
    CHECK(facts[2].hour_of_shift == 1);
    CHECK(facts[3].hour_of_shift == 2);
    CHECK_FALSE(facts[1].lot);
    CHECK(facts[2].lot == "north");
    CHECK(facts[2].notes.empty());
    CHECK(facts[3].notes == std::vector<std::string>{"rain"});
}

TEST_CASE("Hours count from the shift's start by the plan, though a restart opened it anew in the middle") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    const std::string file = "[[shift]]\nname = \"early\"\nstart = \"06:00\"\nend = \"14:00\"\n";
    const auto keep = [&](const std::string& text, const char* since) {
        made.store().change([&](SQLite::Database& database) {
            add_document(database, {"station_file", "box.toml", text}, *utc_from_text(since));
        });
    };
    keep(file, "2026-03-02T12:00:00Z");
    made.shift("2026-03-02T15:30:00Z", 1000.0); // half past eight there
    made.add(2);
    ShiftRecord record;
    record.hashes["configuration"] = sha256_hex(file);
    made.close(record);
    // Another plan since then is that of the open shift alone.
    keep("[[shift]]\nname = \"early\"\nstart = \"05:00\"\nend = \"13:00\"\n", "2026-03-03T12:00:00Z");
    made.shift("2026-03-03T15:30:00Z", 1000.0);
    made.add(1);

    const std::vector<PassageFacts> facts = span_facts_in(made);
    REQUIRE(facts.size() == 3);
    CHECK(facts[0].hour_of_shift == 3); // 8:46
    CHECK(facts[1].hour_of_shift == 4); // 9:03
    CHECK(facts[2].hour_of_shift == 4); // 8:46
}

TEST_CASE(
    "Where the plan is not in the store, or has no such shift, hours count from the shift's beginning") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    const std::string text =
        GENERATE("", "no file", "[[shift]]\nname = \"late\"\nstart = \"06:00\"\nend = \"14:00\"\n",
                 "[[shift]]\nname = \"early\"\nstart = \"6\"\nend = \"14:00\"\n");
    made.store().change([&](SQLite::Database& database) {
        add_document(database, {"station_file", "box.toml", text}, 1);
    });
    made.shift("2026-03-02T15:30:00Z", 1000.0);
    made.add(1);
    CHECK(span_facts_in(made).front().hour_of_shift == 1);
}

TEST_CASE("The line rate is that of the animals before, and a stop of the line does not slow it") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z", 36.0);
    made.add(12);
    made.pause(3600.0);
    made.add(1, {.excluded = "no_animal"});
    made.add(3);
    const std::vector<PassageFacts> facts = span_facts_in(made);
    CHECK_FALSE(facts[4].line_rate_per_hour); // four times between entries are too few
    CHECK(*facts[5].line_rate_per_hour == Approx(100.0));
    CHECK(*facts.back().line_rate_per_hour == Approx(100.0));
}

TEST_CASE("A span cuts passages but not what is known of the line before it") {
    const TestFolder temp;
    MadeStore made(temp / "records.db");
    made.shift("2026-03-02T13:00:00Z", 36.0);
    made.add(12);
    RecordSpan span;
    span.from_utc_ns = made.utc_ns(11 * 36.0);
    const std::vector<PassageFacts> facts = span_facts_in(made, span);
    REQUIRE(facts.size() == 2);
    CHECK(*facts[0].line_rate_per_hour == Approx(100.0));
}
