#include "daemon/journal/journal.h"

#include <catch2/catch.hpp>

using namespace quietpass;

namespace {

JournalEntry line(std::int64_t id, EntryKind kind, std::int64_t at, const std::string& text = "") {
    JournalEntry entry;
    entry.id = id;
    entry.kind = kind;
    entry.at_utc_ns = at;
    entry.text = text;
    return entry;
}

JournalEntry withdrawal(std::int64_t id, std::int64_t of) {
    JournalEntry entry = line(id, EntryKind::kWithdrawn, 0);
    entry.withdraws = of;
    return entry;
}

} // namespace

TEST_CASE("A lot holds from its moment to the next lot or the end, whenever it was entered") {
    const Journal journal({line(1, EntryKind::kLot, 200, "south"), line(2, EntryKind::kLot, 100, "north"),
                           line(3, EntryKind::kLotEnd, 300)});
    CHECK_FALSE(journal.lot_at(99));
    CHECK(journal.lot_at(100) == "north");
    CHECK(journal.lot_at(199) == "north");
    CHECK(journal.lot_at(200) == "south");
    CHECK_FALSE(journal.lot_at(300));
    CHECK(journal.lots().size() == 3);
}

TEST_CASE("Of two lots at the same moment the one entered last holds") {
    const Journal journal({line(1, EntryKind::kLot, 100, "nroth"), line(2, EntryKind::kLot, 100, "north")});
    CHECK(journal.lot_at(150) == "north");
}

TEST_CASE("What was withdrawn holds no more, and what was before it does again") {
    const Journal journal(
        {line(1, EntryKind::kLot, 100, "north"), line(2, EntryKind::kLot, 200, "south"), withdrawal(3, 2)});
    CHECK(journal.lot_at(250) == "north");
    CHECK_FALSE(journal.entry(2));
    CHECK_FALSE(journal.entry(3));
    CHECK(journal.entry(1)->text == "north");
}

TEST_CASE("A note holds up to its end, or to the end of the shift it was entered in") {
    JournalEntry rain = line(1, EntryKind::kNote, 120, "rain");
    rain.until_utc_ns = 140;
    const Journal journal(
        {rain, line(2, EntryKind::kNote, 130, "new man"), line(3, EntryKind::kNote, 150, "rain")});
    const auto notes = [&](std::int64_t at) { return journal.notes_at(at, 100, 200); };
    CHECK(notes(119).empty());
    CHECK(notes(135) == std::vector<std::string>{"rain", "new man"});
    CHECK(notes(140) == std::vector<std::string>{"new man"});
    CHECK(notes(199) == std::vector<std::string>{"new man", "rain"});
    CHECK(journal.notes_at(250, 200, 300).empty()); // the next shift
}

TEST_CASE("The part of a journal for a time says the same of each moment in it as the whole") {
    std::vector<JournalEntry> entries;
    std::int64_t id = 0;
    for (std::int64_t at = 0; at < 1000; at += 37) {
        entries.push_back(line(++id, at % 3 == 0 ? EntryKind::kLotEnd : EntryKind::kLot, at, "lot"));
        entries.back().text += std::to_string(at);
        entries.push_back(line(++id, EntryKind::kNote, at + 5, "note" + std::to_string(at % 5)));
        if (at % 2 == 0) entries.back().until_utc_ns = at + 5 + (at % 7) * 60;
        entries.push_back(line(++id, EntryKind::kLot, at, "again" + std::to_string(at)));
    }
    entries.push_back(withdrawal(++id, 6));
    const Journal whole(entries);
    for (std::int64_t from = -50; from < 1000; from += 61) {
        const std::int64_t to = from + 200;
        const Journal part = whole.lots_and_notes(from, to);
        const Journal after = whole.lots_and_notes(from, std::nullopt);
        CHECK(part.lots().size() <= 18);
        for (std::int64_t at = from; at < to; at += 3) {
            CHECK(part.lot_at(at) == whole.lot_at(at));
            CHECK(part.notes_at(at, from, to) == whole.notes_at(at, from, to));
            CHECK(after.lot_at(at) == whole.lot_at(at));
        }
    }
}
