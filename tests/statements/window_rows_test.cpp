#include "daemon/statements/window_rows.h"

#include <catch2/catch.hpp>

#include "daemon/records/span_reader.h"
#include "daemon/statements/span_facts.h"
#include "tests/records/made_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// A shift that a killed run left, then ten of 20 animals each, a day apart from the 2nd of March on.
struct Days {
    TestFolder folder;
    MadeStore made{folder / "records.db"};
    SQLite::Database database{(folder / "records.db").string()};
    LocalTime time{"UTC"};

    Days() {
        made.shift("2026-03-01T06:00:00Z");
        made.add(5);
        for (int day = 2; day <= 11; ++day) {
            char start[32];
            std::snprintf(start, sizeof start, "2026-03-%02dT06:00:00Z", day);
            made.shift(start);
            made.add(10);
            made.add(3, {.excluded = "overrun"});
            made.add_share(2, 10);
            made.close();
        }
    }
    std::int64_t at(const std::string& utc) const { return *utc_from_text(utc); }
    std::vector<PassageFacts> read(const RecordSpan& span) {
        return facts_of(read_span_within(database, span, SpanDetail::kPassages), Journal({}), {});
    }
};

} // namespace

TEST_CASE("What is read for a window is little, and the window finds in it what it finds in all") {
    Days days;
    const std::vector<PassageFacts> all = days.read({});
    const std::int64_t change = days.at("2026-03-06T06:05:15Z"); // amid the shift of the 6th
    for (const char* text : {"36h", "90m", "25", "20", "1", "1000", "2026-03-03 00:00,2026-03-04 00:00",
                             "2026-03-08 06:02,2026-03-08 06:04", "2026-03-01 00:00,2026-04-01 00:00"}) {
        INFO(text);
        const Window window = *window_from(text, days.time);
        const auto ids = [](const std::vector<PassageFacts>& facts) {
            std::vector<std::pair<std::int64_t, std::int64_t>> found;
            for (const PassageFacts& one : facts) found.emplace_back(one.row.shift_id, one.row.passage.id);
            return found;
        };
        const auto before = days.read(span_before(days.database, change, window));
        CHECK(ids(passages_before(before, change, window)) == ids(passages_before(all, change, window)));
        const auto after = days.read(span_after(days.database, change, window));
        CHECK(ids(passages_after(after, change, window)) == ids(passages_after(all, change, window)));
    }
}

TEST_CASE("A number of passages reads no further than the shifts they are of, whoever left a shift open") {
    Days days;
    const std::int64_t change = days.at("2026-03-06T06:05:15Z"); // 10 of its 20 scored ones are before
    const Window window = *window_from("25", days.time);
    const RecordSpan before = span_before(days.database, change, window);
    CHECK(before.from_utc_ns == days.at("2026-03-05T06:00:00Z"));
    const RecordSpan after = span_after(days.database, change, window);
    REQUIRE(after.to_utc_ns);
    CHECK(*after.to_utc_ns > days.at("2026-03-07T06:00:00Z"));
    CHECK(*after.to_utc_ns < days.at("2026-03-08T06:00:00Z"));
    CHECK_FALSE(span_after(days.database, change, *window_from("1000", days.time)).to_utc_ns);
    const RecordSpan latest = span_of_latest(days.database, 30);
    CHECK(latest.from_utc_ns == days.at("2026-03-10T06:00:00Z"));
    CHECK(passages_within(days.database, {}) == 235);
    CHECK(passages_within(days.database, {{}, {}, 2}) == 23);
    CHECK(passages_within(days.database, {days.at("2026-03-10T12:00:00Z"), {}, {}}) ==
          28); // and the open one
}
