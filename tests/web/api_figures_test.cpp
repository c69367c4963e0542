// Figures of lots and what goes with the calls, by the page.

#include "tests/web/described.h"
#include "tests/web/manager.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

// Two lots of 100 animals each in a shift of the 10th of March, the second with more vocal ones.
void add_lots(Manager& at) {
    MadeStore made(at.page.folder / "records.db");
    made.shift("2026-03-10T05:00:00Z");
    made.add_share(2, 100, {.held_for_s = 8.0});
    made.add_share(12, 100, {.phase = Phase::kHeld, .held_for_s = 25.0});
    made.add(4, {.excluded = "overrun"});
    made.close();
    at.api.post("/lots", "/lots", {{"name", "north"}, {"at", "2026-03-10T05:00:00Z"}});
    at.api.post("/lots", "/lots", {{"name", "south"}, {"at", "2026-03-10T05:50:15Z"}});
    at.api.post("/lots/end", "/lots/end", {{"at", "2026-03-10T06:40:15Z"}});
}

} // namespace

TEST_CASE("Lots are entered, ended and listed with the time up to which they hold") {
    Manager at;
    add_lots(at);
    const Json lots = at.api.get("/lots", "/lots")["lots"];
    REQUIRE(lots.size() == 3);
    CHECK(lots[0]["kind"] == "lot_end");
    CHECK(lots[1]["text"] == "south");
    CHECK(lots[1]["until"] == "2026-03-10T06:40:15.000Z");
    CHECK(lots[2]["until"] == lots[1]["at"]);
    CHECK(at.page.accesses().back() == "manager enter lot 3");
    at.api.post("/lots/{lot}/withdraw", "/lots/3/withdraw"); // the end was wrong
    CHECK(at.api.get("/lots", "/lots")["lots"][0]["until"].is_null());
    at.api.post("/lots/{lot}/withdraw", "/lots/3/withdraw");
    at.api.post("/lots", "/lots", {{"name", ""}});
    at.api.post("/lots/end", "/lots/end", {{"at", "soon"}});
}

TEST_CASE("Notes are entered with or without an end, which must be later than their beginning") {
    Manager at;
    const Json rain =
        at.api.post("/notes", "/notes",
                    {{"text", "rain"}, {"at", "2026-03-10T06:00:00Z"}, {"until", "2026-03-10T08:00:00Z"}});
    CHECK(rain["until"] == "2026-03-10T08:00:00.000Z");
    CHECK(at.api.post("/notes", "/notes", {{"text", "a new man"}})["until"].is_null());
    const Json wrong = {{"text", "x"}, {"at", "2026-03-10T06:00:00Z"}, {"until", "2026-03-10T06:00:00Z"}};
    at.api.post("/notes", "/notes", wrong);
    CHECK(at.client.post("/api/v1/notes", wrong).status == 422);
    CHECK(at.api.get("/notes", "/notes")["notes"].size() == 2);
    at.api.post("/notes/{note}/withdraw", "/notes/" + rain["entry_id"].dump() + "/withdraw");
    CHECK(at.api.get("/notes", "/notes")["notes"].size() == 1);
    at.api.get("/notes", "/notes?before=x");
}

TEST_CASE("A lot's figures are its animals' share with its interval and coverage; all lots allow for lots") {
    Manager at;
    add_lots(at);
    const Json south = at.api.get("/lots/{lot}/figures", "/lots/2/figures");
    REQUIRE(south["lots"].size() == 1);
    CHECK(south["lots"][0]["lot"] == "south");
    CHECK(south["vocal"] == 12);
    CHECK(south["passages"] == 100);
    CHECK(south["percent"] == 12.0);
    CHECK(south["percent_low"].get<double>() == Approx(7.0).margin(0.01)); // Wilson, 12 of 100
    CHECK(south["coverage"] == Json{{"passages", 100}, {"scored", 100}, {"excluded", Json::object()}});
    const Json all = at.api.get("/lots/figures", "/lots/figures?from=2026-03-10T00:00:00Z");
    CHECK(all["lots"].size() == 2);
    CHECK(all["design_effect"].get<double>() > 1.0);
    CHECK(all["coverage"] == Json{{"passages", 204}, {"scored", 200}, {"excluded", {{"overrun", 4}}}});
    at.api.get("/lots/{lot}/figures", "/lots/3/figures"); // an end is no lot
    CHECK(at.client.get("/api/v1/lots/3/figures").status == 404);
    at.api.get("/lots/figures", "/lots/figures?shift=99");
    at.api.get("/lots/figures", "/lots/figures?from=2026-03-10T00:00:00Z&to=2026-03-10T00:00:00Z");
}

TEST_CASE("What goes with the calls is told of a shift, a lot or a period, with where to look") {
    Manager at;
    add_lots(at);
    const Json factors = at.api.get("/factors", "/factors?from=2026-03-10T00:00:00Z");
    CHECK(factors["coverage"]["scored"] == 200);
    const auto row = [&factors](const std::string& factor, const std::string& level) {
        for (const Json& one : factors["factors"]) {
            if (one["factor"] == factor && one["level"] == level) return one;
        }
        return Json();
    };
    const Json held = row("hold_time", "20 to 40 s");
    REQUIRE(held.is_object());
    CHECK(held["vocal"] == 12);
    CHECK(held["rest_vocal"] == 2);
    CHECK(held["risk_ratio"] == 6.0);
    CHECK(row("lot", "south")["vocal"] == 12);
    const Json held_phase = factors["phases"].back();
    CHECK_FALSE(held_phase["look_at"].get<std::string>().empty());
    const Json lot = at.api.get("/factors", "/factors?lot=1&phase=entry");
    CHECK(lot["coverage"]["scored"] == 100);
    CHECK(lot["phase"] == "entry");
    CHECK(at.api.get("/factors", "/factors?shift=3&hold_bands=10,30")["factors"][0]["level"] == "under 10 s");
    at.api.get("/factors", "/factors?lot=1&shift=1");
    at.api.get("/factors", "/factors?lot=77");
    at.api.get("/factors", "/factors?hold_bands=10,5");
    at.api.get("/factors", "/factors?rate_bands=10,");
    at.api.get("/factors", "/factors?bang_over=loud");
}
