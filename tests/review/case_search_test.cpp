#include "daemon/review/case_search.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/records/case_rows.h"
#include "daemon/review/case_state.h"
#include "tests/records/made_store.h"
#include "tests/review/made_clips.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// Six animals, half a minute apart; numbers 2 and 4 called (calls 1 and 2). Clips of both calls, of a quiet
// passage, and of all from 60 to 130 s.
struct SearchedPlant {
    TestFolder folder;
    MadeStore made{folder / "records.db"};
    std::int64_t shift = made.shift("2026-03-02T13:00:00Z");
    CaseFile file;

    SearchedPlant() {
        made.add(1);
        made.add(1, {.vocal = true});
        made.add(1);
        made.add(1, {.vocal = true});
        made.add(2);
        add_clip(
            store(),
            {.clip_id = 1, .shift_id = shift, .passage_id = 2, .call_id = 1, .start_s = 59.0, .end_s = 64.0});
        add_clip(store(), {.clip_id = 2,
                           .shift_id = shift,
                           .passage_id = 4,
                           .call_id = 2,
                           .start_s = 119.0,
                           .end_s = 124.0});
        add_clip(store(), {.clip_id = 3,
                           .shift_id = shift,
                           .why = ClipWhy::kQuiet,
                           .passage_id = 5,
                           .start_s = 150.0,
                           .end_s = 162.0});
        add_clip(
            store(),
            {.clip_id = 4, .shift_id = shift, .why = ClipWhy::kContinuous, .start_s = 60.0, .end_s = 130.0});
        file.reference = "C-7";
        file.asked_by = "a neighbour";
        file.by = "B. Lead";
        file.utc_ns = 5;
        store().change([&](SQLite::Database& database) { file.id = add_case(database, file); });
    }

    Store& store() { return made.store(); }

    CaseState gather(const CaseWish& wish) {
        for (const CaseEvent& event : search_for_case(store(), file, wish)) {
            store().change([&](SQLite::Database& database) { add_case_event(database, event); });
        }
        store().read([&](SQLite::Database& database) { file = *read_case(database, file.id); });
        return state_of(file);
    }

    CaseWish span(double from_s, double to_s, bool calling = false) const {
        CaseWish wish;
        wish.span.from_utc_ns = made.utc_ns(from_s);
        wish.span.to_utc_ns = made.utc_ns(to_s);
        wish.calling = calling;
        return wish;
    }

    CaseWish named() const {
        CaseWish wish;
        wish.shift_id = shift;
        return wish;
    }
};

using Ids = std::set<std::int64_t>;

Ids passages_of(const CaseState& state) {
    Ids ids;
    for (const auto& [shift, passage] : state.passages) ids.insert(passage);
    return ids;
}

} // namespace

TEST_CASE("A span of time brings its passages with their calls, and the clips of both") {
    SearchedPlant plant;
    const CaseState state = plant.gather(plant.span(55.0, 100.0));
    CHECK(passages_of(state) == Ids{2, 3});
    CHECK(state.calls.size() == 1);
    CHECK(state.clips == Ids{1, 4});
    CHECK(state.shifts == Ids{plant.shift});
}

TEST_CASE("Of a span only the passages with calls, when that is asked for") {
    SearchedPlant plant;
    const CaseState state = plant.gather(plant.span(0.0, 1000.0, true));
    CHECK(passages_of(state) == Ids{2, 4});
    CHECK(state.clips == Ids{1, 2, 4});
}

TEST_CASE("A call brings its passage, and gathering again adds nothing twice") {
    SearchedPlant plant;
    CaseWish wish = plant.named();
    wish.calls = {2};
    CaseState state = plant.gather(wish);
    CHECK(passages_of(state) == Ids{4});
    CHECK(state.clips == Ids{2, 4});
    CHECK(search_for_case(plant.store(), plant.file, wish).empty());
    wish.calls.clear();
    wish.passages = {5};
    state = plant.gather(wish);
    CHECK(passages_of(state) == Ids{4, 5});
    CHECK(state.clips == Ids{2, 3, 4});
}

TEST_CASE("A deleted clip is not gathered, and asking for it by number fails in one line") {
    SearchedPlant plant;
    delete_clip(plant.store(), 1);
    CHECK(plant.gather(plant.span(55.0, 100.0)).clips == Ids{4});
    CaseWish wish;
    wish.clips = {1};
    CHECK_THROWS_WITH(search_for_case(plant.store(), plant.file, wish), Catch::Contains("deleted"));
    wish.clips = {99};
    CHECK_THROWS_WITH(search_for_case(plant.store(), plant.file, wish), Catch::Contains("no clip 99"));
    wish = plant.named();
    wish.passages = {99};
    CHECK_THROWS_AS(search_for_case(plant.store(), plant.file, wish), Failure);
}

TEST_CASE("What is dropped is out of the case and what was added after it is in") {
    CaseFile file;
    CaseEvent event;
    event.shift_id = 1;
    event.passage_id = 7;
    event.event = "added";
    file.events.push_back(event);
    event.event = "dropped";
    file.events.push_back(event);
    CHECK(state_of(file).passages.empty());
    event.event = "added";
    file.events.push_back(event);
    CHECK(state_of(file).passages.size() == 1);
    CHECK(state_of(file).open);
    event = {};
    event.event = "closed";
    file.events.push_back(event);
    CHECK_FALSE(state_of(file).open);
    event.event = "reopened";
    file.events.push_back(event);
    CHECK(state_of(file).open);
}

TEST_CASE("The last word on a clip of a case says whether the case holds it") {
    SearchedPlant plant;
    const auto held = [&] {
        std::vector<std::int64_t> clips;
        plant.store().read(
            [&](SQLite::Database& database) { clips = clips_held_by(database, plant.file.id); });
        return clips;
    };
    const auto say = [&](std::int64_t clip, bool hold) {
        plant.store().change([&](SQLite::Database& database) {
            add_clip_hold(database, {clip, plant.file.id, hold, 9, "B. Lead"});
        });
    };
    CHECK(held().empty());
    say(1, true);
    say(2, true);
    CHECK(held() == std::vector<std::int64_t>{1, 2});
    say(1, false);
    CHECK(held() == std::vector<std::int64_t>{2});
    say(1, true);
    CHECK(held() == std::vector<std::int64_t>{1, 2});
}
