// The run chart of shifts as the page gets it.

#include "daemon/records/journal_entry.h"
#include "tests/web/described.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

// Closed shifts of 100 animals, a day apart from the 9th on, with so many of them vocal.
void add_shifts(ServedPage& page, const std::vector<int>& vocal) {
    REQUIRE(page.writer->flush(std::chrono::seconds(10))); // its own shift has its number
    MadeStore made(page.folder / "records.db");
    int day = 9;
    for (const int count : vocal) {
        char start[32];
        std::snprintf(start, sizeof start, "2026-03-%02dT05:00:00Z", day++);
        ShiftRecord record;
        record.shift = "early";
        record.passages = 100;
        record.scored = 100;
        record.vocal = count;
        record.percent = count;
        record.percent_low = 0.0;
        record.percent_high = 20.0;
        record.limit_percent = 5.0;
        record.basis = "a guide, first edition";
        record.verdict = Verdict::kWithinLimit;
        record.coverage.passages = 0.98;
        made.shift(start);
        made.add_share(count, 100);
        made.close(record);
    }
}

std::int64_t enter(const ServedPage& page, EntryKind kind, const std::string& at, const std::string& text) {
    JournalEntry entry;
    entry.kind = kind;
    entry.at_utc_ns = *utc_from_text(at);
    entry.text = text;
    return Store(page.folder / "records.db").add(entry);
}

} // namespace

TEST_CASE("The chart has each shift's share with its count, interval and coverage, and limits of chance") {
    ServedPage page;
    add_shifts(page, {4, 4, 4, 4, 4, 4, 4, 14});
    enter(page, EntryKind::kChange, "2026-03-15T00:00:00Z", "new floor");
    enter(page, EntryKind::kLot, "2026-03-15T05:00:00Z", "north");
    enter(page, EntryKind::kLot, "2026-02-15T05:00:00Z", "long ago");
    enter(page, EntryKind::kLot, "2026-02-16T05:00:00Z", "the one before");
    HttpClient client(page.address);
    const Described api(client);
    api.get("/chart", "/chart");
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Json chart = api.get("/chart", "/chart?from=2026-03-09T00:00:00Z&to=2026-03-20T00:00:00Z");
    REQUIRE(chart["shifts"].size() == 8);
    CHECK(chart["mean"] == Json{{"shifts", 8}, {"vocal", 42}, {"scored", 800}, {"percent", 5.25}});
    const Json& last = chart["shifts"][7];
    CHECK(last["scored"] == 100);
    CHECK(last["vocal"] == 14);
    CHECK(last["percent"] == 14.0);
    CHECK(last["percent_high"] == 20.0);
    CHECK(last["coverage"]["passages"] == 0.98);
    CHECK(last["outside"] == true);
    CHECK(last["limit_high_percent"].get<double>() == Approx(11.94)); // 5.25 + 3·√(5.25·94.75/100)
    CHECK(chart["shifts"][0]["outside"] == false);
    std::vector<std::string> marks;
    for (const Json& mark : chart["marks"]) marks.push_back(mark["text"]);
    CHECK(marks == std::vector<std::string>{"new floor", "the one before", "north"});
}

TEST_CASE("The chart's mean may be that of the shifts before a change, as the comparison's is") {
    ServedPage page;
    add_shifts(page, {4, 4, 4, 4, 4, 4, 4, 4, 14});
    const std::int64_t change = enter(page, EntryKind::kChange, "2026-03-17T00:00:00Z", "new floor");
    const std::int64_t lot = enter(page, EntryKind::kLot, "2026-03-17T00:00:00Z", "north");
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Described api(client);
    const std::string from = "/chart?from=2026-03-09T00:00:00Z&change=";
    const Json chart = api.get("/chart", from + std::to_string(change));
    CHECK(chart["mean"] == Json{{"shifts", 8}, {"vocal", 32}, {"scored", 800}, {"percent", 4.0}});
    CHECK(chart["shifts"][8]["outside"] == true);
    CHECK(client.get("/api/v1" + from + std::to_string(lot)).status == 400);
    api.get("/chart", from + "99");
}

TEST_CASE("Few shifts have no limits, an open shift has its figures so far and no verdict") {
    ServedPage page;
    REQUIRE(page.writer->flush(std::chrono::seconds(10)));
    MadeStore made(page.folder / "records.db");
    made.shift("2026-03-10T05:00:00Z");
    made.add_share(3, 20);
    made.add(5, {.excluded = "overrun"});
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Described api(client);
    const Json chart = api.get("/chart", "/chart?from=2026-03-10T00:00:00Z");
    CHECK(chart["mean"].is_null());
    REQUIRE(chart["shifts"].size() == 1);
    const Json& open = chart["shifts"][0];
    CHECK(open["state"] == "open");
    CHECK(open["passages"] == 25);
    CHECK(open["scored"] == 20);
    CHECK(open["vocal"] == 3);
    CHECK(open["percent"] == 15.0);
    CHECK(open["percent_low"].get<double>() == Approx(5.24)); // Wilson, 3 of 20
    CHECK(open["coverage"]["passages"] == 0.8);
    CHECK(open["verdict"].is_null());
    CHECK(open["limit_low_percent"].is_null());
}

TEST_CASE(
    "What lies between the shifts of the plan takes no place on the chart, unless an animal came then") {
    ServedPage page;
    add_shifts(page, {1, 2});
    MadeStore made(page.folder / "records.db");
    const auto between = [&made](const std::string& start) {
        made.shift(start, 30.0, "America/Denver", "outside");
    };
    between("2026-03-10T13:00:00Z");
    made.close();
    between("2026-03-11T13:00:00Z");
    made.add(2);
    made.close();
    made.shift("2026-03-12T05:00:00Z"); // a holiday: of the plan, and without an animal
    made.close();
    between("2026-03-12T13:00:00Z"); // goes on
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Described api(client);
    const Json chart = api.get("/chart", "/chart?most=3&from=2026-03-09T00:00:00Z");
    std::vector<std::string> starts;
    for (const Json& shift : chart["shifts"])
        starts.push_back(shift["start"].get<std::string>().substr(5, 8));
    CHECK(starts == std::vector<std::string>{"03-10T05", "03-11T13", "03-12T05"});
    CHECK(chart["more"] == true);
}

TEST_CASE("The chart gives the latest shifts where there are more than asked for") {
    ServedPage page;
    add_shifts(page, {1, 2, 3});
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Described api(client);
    const Json chart = api.get("/chart", "/chart?most=2&to=2026-03-11T12:00:00Z");
    CHECK(chart["more"] == true);
    REQUIRE(chart["shifts"].size() == 2);
    CHECK(chart["shifts"][0]["vocal"] == 2);
    CHECK(chart["shifts"][1]["vocal"] == 3);
    CHECK(api.get("/chart", "/chart?from=2026-05-01T00:00:00Z")["shifts"].empty());
    api.get("/chart", "/chart?from=2026-05-01T00:00:00Z&to=2026-04-01T00:00:00Z");
    api.get("/chart", "/chart?most=0");
}
