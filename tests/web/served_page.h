// A page served on loopback from a store with some animals, without a station: a test says itself what
// happens there. Tests only; made and used on one thread.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <catch2/catch.hpp>
#include <functional>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include "daemon/records/store_writer.h"
#include "daemon/shift_book.h"
#include "daemon/web/page.h"
#include "daemon/web/password_hash.h"
#include "daemon/web/people.h"
#include "tests/contacts/simulated_clock.h"
#include "tests/records/made_store.h"
#include "tests/review/made_clips.h"
#include "tests/test_folder.h"
#include "tests/web/http_client.h"
#include "tests/web/raw_socket.h"

namespace quietpass::test {

inline bool wait_until(const std::function<bool()>& holds) {
    const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(30);
    while (std::chrono::steady_clock::now() < until) {
        if (holds()) return true;
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return holds();
}

inline constexpr const char* kPassword = "a long enough one";

struct ServedPage {
    using Change = std::function<void(StationSettings&)>;

    explicit ServedPage(const Change& change = {}) {
        clock.go_to(1e6);
        settings.name = "box-1";
        settings.microphones = {{.name = "head", .device = "", .up_race_m = {}, .reference = {}}};
        settings.scoring = {5.0, "a guide, first edition"};
        settings.page.on = true;
        settings.page.port = 0;
        if (change) change(settings);
        fill();
        // Hashed once for all tests: it is slow by design.
        static const std::string hash = password_hash(kPassword);
        People people(folder.path());
        for (const PageRole role :
             {PageRole::kWall, PageRole::kReviewer, PageRole::kManager, PageRole::kAdministrator})
            people.add(std::string(name_of(role)), role, hash, 1);
        serve();
    }
    ~ServedPage() {
        if (page) page->stop();
    }

    void fill() {
        MadeStore made(folder / "records.db");
        shift_id = made.shift("2026-03-08T05:00:00Z");
        made.add(3);
        made.add(2, {.vocal = true, .phase = Phase::kHeld});
        made.close();
        for (int i = 0; i < 100'000; ++i) clip += static_cast<char>(i * 7 + i / 251);
        std::filesystem::create_directories(folder.path() / "clips");
        folder.write("clips/one.flac", clip);
        add_clip(made.store(), {.clip_id = 1,
                                .shift_id = shift_id,
                                .call_id = 1,
                                .end_s = 5.0,
                                .file = "clips/one.flac",
                                .sha256 = "ab"});
        AlarmEventRow alarm;
        alarm.id = "run/1";
        alarm.alarm_id = 1;
        alarm.cause = "second_stun";
        alarm.event = "raised";
        alarm.utc_ns = 1;
        alarm.severity = "at_once";
        alarm.count = 1;
        alarm.told = true;
        alarm.what = "Animal 3 was stunned twice.";
        made.store().write(std::vector<StoreRow>{alarm});
    }

    void serve() {
        writer = std::make_unique<StoreWriter>(Store(folder / "records.db"));
        book =
            std::make_unique<ShiftBook>(settings, Provenance{}, nullptr, *writer, [](const ClosedShift&) {});
        book->begin(0.0, utc);
        feed = std::make_unique<LiveFeed>(*book);
        page = std::make_unique<Page>(
            settings, clock, folder.path(), *feed, [](bool, const std::string&) {}, PageLinks{[this] {
                if (on_reload) on_reload();
            }});
        page->start();
        address = page->address();
        address.pop_back();
        port = std::stoi(address.substr(address.rfind(':') + 1));
        feed->turn(0.0, utc);
    }

    // What the Station would tell: a passage with so many calls.
    void animal(std::int64_t id, int calls = 0) {
        Passage passage;
        passage.id = id;
        passage.entered_s = 30.0 * static_cast<double>(id);
        passage.held_s = passage.entered_s + 2.0;
        passage.stunned_s = passage.entered_s + 9.0;
        passage.end_s = passage.entered_s + 20.0;
        passage.stuns = 1;
        passage.calls = calls;
        passage.vocal = calls > 0;
        for (int i = 0; i < calls; ++i) {
            StationCall call;
            call.id = 100 * id + i;
            call.microphone = "head";
            call.heard = {
                passage.entered_s + 3.0, passage.entered_s + 4.0, CallKind::kMoo, 2.0, -30.0, 110.0, ""};
            call.passage_id = id;
            call.passage_entered_s = passage.entered_s;
            call.phase = Phase::kHeld;
            call.counted = true;
            tell([&](StationEvents& to) { to.on_call(call); });
        }
        tell([&](StationEvents& to) { to.on_passage(passage); });
    }
    void tell(const std::function<void(StationEvents&)>& what) {
        what(*book);
        what(*feed);
    }

    // Rows of the table accesses: "who what subject".
    std::vector<std::string> accesses() {
        std::vector<std::string> rows;
        const Store store(folder / "records.db");
        store.read([&](SQLite::Database& database) {
            SQLite::Statement query(database,
                                    "SELECT who || ' ' || what || ' ' || subject FROM accesses ORDER BY seq");
            while (query.executeStep()) rows.push_back(query.getColumn(0).getString());
        });
        return rows;
    }

    // The value of a figure of /metrics, summed over its labels.
    double metric(const std::string& name) const {
        HttpClient client(address, "127.0.0.9");
        const std::string text = client.get("/metrics").body;
        double sum = 0.0;
        for (std::size_t at = text.find("\n" + name); at != std::string::npos;
             at = text.find("\n" + name, at + 1)) {
            const char after = text[at + 1 + name.size()];
            if (after != '{' && after != ' ') continue;
            const std::size_t end = text.find('\n', at + 1);
            sum += std::stod(text.substr(text.rfind(' ', end) + 1));
        }
        return sum;
    }

    SimulatedClock clock;
    TestFolder folder;
    StationSettings settings;
    std::function<void()> on_reload; // set before the first request
    StationUtc utc{1772946000000000000, 1e9};
    std::int64_t shift_id = 0;
    std::string clip; // the bytes of clip 1
    std::unique_ptr<StoreWriter> writer;
    std::unique_ptr<ShiftBook> book;
    std::unique_ptr<LiveFeed> feed;
    std::unique_ptr<Page> page;
    std::string address; // without the last slash
    int port = 0;
};

} // namespace quietpass::test
