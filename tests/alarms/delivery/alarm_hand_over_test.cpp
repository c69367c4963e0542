// Whoever raises an alarm waits for no disk, and a row that says "told" is never ahead of its message.

#include "daemon/alarms/delivery/alarm_hand_over.h"

#include <SQLiteCpp/Database.h>

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "tests/alarms/delivery/delivery_rig.h"
#include "tests/alarms/delivery/http_receiver.h"
#include "tests/alarms/delivery/sample_message.h"

using namespace quietpass;
using namespace quietpass::test;
using namespace std::chrono_literals;

namespace {

AlarmEventRow row_of(const AlarmMessage& message) {
    AlarmEventRow row;
    row.id = message.id;
    row.event = message.event;
    row.told = true;
    return row;
}

// Where rows arrive, each with whether its message was in the outbox by then.
struct Rows {
    struct Seen {
        std::string id;
        bool told = false;
        bool in_outbox = false;
    };

    AlarmHandOver::OnRow into() {
        return [this](const AlarmEventRow& row) {
            bool there = false;
            for (const OutboxRow& put : Outbox(outbox).rows()) there = there || put.message.id == row.id;
            const std::lock_guard lock(mutex);
            seen.push_back({row.id, row.told, there});
        };
    }
    std::vector<Seen> all() const {
        const std::lock_guard lock(mutex);
        return seen;
    }

    std::filesystem::path outbox;
    mutable std::mutex mutex;
    std::vector<Seen> seen; // under mutex
};

// An outlet that waits in put() until it is let go.
struct StuckOutlet final : AlarmOutlet {
    void put(const AlarmMessage&) override {
        entered = true;
        const std::lock_guard wait(stuck);
    }
    std::mutex stuck;
    std::atomic<bool> entered = false;
};

void say_nothing(bool, const std::string&) {}

} // namespace

TEST_CASE("While another process holds the outbox alarms are taken at once, and all arrive in order after it",
          "[delivery]") {
    DeliveryRig rig;
    HttpReceiver receiver;
    Rows rows;
    rows.outbox = rig.folder / kOutboxFile;
    std::vector<DeliveryPlan> plans;
    plans.push_back(rig.webhook("web", receiver.url()));
    // A wait longer than any test: a put on this thread would never come back while the lock is held.
    Outbox outbox(rows.outbox, 24h);
    auto standing = std::make_shared<StandingAlarms>(outbox.standing());
    Delivery delivery(std::move(outbox), std::move(standing), std::move(plans), rig.clock, say_nothing,
                      std::chrono::hours(24));
    AlarmHandOver hand_over(&delivery, rows.into(), say_nothing);
    {
        SQLite::Database other(rows.outbox.string(), SQLite::OPEN_READWRITE);
        other.exec("BEGIN IMMEDIATE");
        for (int i = 0; i < 20; ++i) {
            const AlarmMessage message = sample_message("m-" + std::to_string(i));
            hand_over.take(message, row_of(message));
        }
        CHECK(hand_over.waiting() == 20);
        CHECK(rows.all().empty());
        CHECK(receiver.requests().empty());
        other.exec("COMMIT");
    }
    REQUIRE(receiver.await_acknowledged(20));
    REQUIRE(hand_over.flush(1min));
    const auto seen = rows.all();
    REQUIRE(seen.size() == 20);
    for (std::size_t i = 0; i < seen.size(); ++i) {
        CHECK(seen[i].id == "m-" + std::to_string(i));
        CHECK(seen[i].told);
        CHECK(seen[i].in_outbox);
    }
}

TEST_CASE("Where nothing is set to deliver to, rows go on at once", "[delivery]") {
    std::vector<AlarmEventRow> rows;
    AlarmHandOver hand_over(
        nullptr, [&rows](AlarmEventRow row) { rows.push_back(std::move(row)); }, say_nothing);
    hand_over.take(sample_message("m"), row_of(sample_message("m")));
    REQUIRE(rows.size() == 1);
    CHECK(rows[0].told);
}

TEST_CASE("What finds no room, or no time at the end, goes on as not told and is said", "[delivery]") {
    StuckOutlet outlet;
    std::mutex mutex;
    std::vector<AlarmEventRow> rows;
    std::vector<std::string> lines;
    const auto seen = [&] {
        const std::lock_guard lock(mutex);
        return rows;
    };
    const auto on_row = [&](AlarmEventRow row) {
        const std::lock_guard lock(mutex);
        rows.push_back(std::move(row));
    };
    const auto say = [&](bool, const std::string& line) {
        const std::lock_guard lock(mutex);
        lines.push_back(line);
    };
    outlet.stuck.lock();
    {
        AlarmHandOver hand_over(&outlet, on_row, say, {.capacity = 2, .last_flush = 0ms});
        hand_over.take(sample_message("0"), row_of(sample_message("0")));
        REQUIRE(await([&] { return outlet.entered.load(); }));
        for (const char* id : {"1", "2", "3", "4"})
            hand_over.take(sample_message(id), row_of(sample_message(id)));
        // "0" is in the outlet's hands, "1" and "2" wait; the rest found no room.
        REQUIRE(seen().size() == 2);
        CHECK(lines.size() == 1); // said once
        CHECK(seen().back().id == "4");
        outlet.stuck.unlock();
    }
    const auto all = seen();
    CHECK(all.size() == 5);
    int told = 0;
    for (const AlarmEventRow& row : all) told += row.told ? 1 : 0;
    CHECK(told < 5);
    CHECK(std::none_of(all.begin(), all.end(),
                       [](const AlarmEventRow& row) { return row.id == "4" && row.told; }));
}
