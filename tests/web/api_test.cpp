// What the JSON interface answers, and that openapi.json describes it.

#include "daemon/records/finding_rows.h"
#include "tests/web/described.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

TEST_CASE("Each route's answers, good and bad, are as openapi.json describes them") {
    ServedPage page;
    page.animal(1, 1);
    page.tell([](StationEvents& to) { to.on_phase({30.0, 1, Phase::kHeld}); });
    page.feed->on_edge({30.0, Role::kEntered, true});
    MicrophoneMinute minute;
    minute.microphone = "head";
    minute.end_s = 60.0;
    minute.heard_s = 60.0;
    page.tell([&](StationEvents& to) { to.on_health(minute); });
    HttpClient client(page.address);
    const Described api(client);
    api.get("/session", "/session");
    api.post("/login", "/login", {{"name", "reviewer"}});
    api.post("/login", "/login", {{"name", "reviewer"}, {"password", "wrong"}});
    const Json session = api.post("/login", "/login", {{"name", "reviewer"}, {"password", kPassword}});
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    api.get("/session", "/session");
    REQUIRE(wait_until([&] { return client.get("/api/v1/live").json()["levels"].size() == 1; }));
    const Json live = api.get("/live", "/live");
    CHECK(live["now"]["phase"] == "held");
    CHECK(live["contacts"][0]["role"] == "entered");
    api.get("/alarms", "/alarms?all=1");
    api.get("/alarms", "/alarms?all=2");
    api.get("/alarms", "/alarms?all=1&most=1&before=2");
    api.get("/shifts", "/shifts");
    api.get("/shifts", "/shifts?most=x");
    api.get("/shifts/{shift}", "/shifts/1");
    api.get("/shifts/{shift}", "/shifts/999");
    api.get("/shifts/{shift}", "/shifts/abc");
    api.get("/calls", "/calls?shift=1&counted=1&phase=held&from=2026-03-08T00:00:00Z");
    api.get("/calls", "/calls?phase=noon");
    api.get("/calls", "/calls?before_shift=2");
    api.get("/calls", "/calls?from=yesterday");
    api.get("/calls/{shift}/{call}", "/calls/1/1");
    api.get("/calls/{shift}/{call}", "/calls/1/77");
    api.get("/clips/{clip}/audio", "/clips/1/audio");
    api.get("/clips/{clip}/audio", "/clips/5/audio");
    api.post("/findings", "/findings", {{"shift_id", 1}, {"call_ids", {1}}, {"verdict", "not_a_call"}});
    api.post("/findings", "/findings", {{"shift_id", 1}, {"call_ids", {99}}, {"verdict", "call"}});
    api.post("/findings", "/findings", {{"shift_id", 1}, {"call_ids", {1}}, {"verdict", "perhaps"}});
    api.post("/findings", "/findings", Json::array());
    api.get("/calls/{shift}/{call}", "/calls/1/1");
    api.post("/alarms/{alarm}/acknowledge", "/alarms/1/acknowledge");
    api.post("/alarms/{alarm}/acknowledge", "/alarms/1/acknowledge");
    api.post("/alarms/{alarm}/acknowledge", "/alarms/9/acknowledge");
    api.get("/alarms", "/alarms");
    api.post("/logout", "/logout");
    api.get("/openapi.json", "/openapi.json");
}

TEST_CASE("Live messages are as openapi.json describes them") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    const Json api = client.get("/api/v1/openapi.json").json();
    LiveListener listener(page.port, client.cookie);
    page.animal(1, 1);
    page.tell([](StationEvents& to) { to.on_phase({30.0, {}, {}}); });
    page.feed->on_edge({30.0, Role::kEntered, true});
    MicrophoneMinute minute;
    minute.microphone = "head";
    page.tell([&](StationEvents& to) { to.on_health(minute); });
    page.feed->on_spectrum({0, 30.0, {}});
    std::map<std::string, std::string> wanted = {{"hello", "Live"},          {"call", "LiveCall"},
                                                 {"passage", "LivePassage"}, {"share", "Share"},
                                                 {"phase", "PhaseNow"},      {"edge", "Edge"},
                                                 {"level", "Level"},         {"spectrum", "LiveSpectrum"}};
    while (!wanted.empty()) {
        const auto message = listener.next();
        REQUIRE(message);
        const std::string kind = (*message)["kind"];
        if (!wanted.contains(kind)) continue;
        const Json& schema = api["components"]["schemas"][wanted[kind]];
        INFO(message->dump());
        CHECK(fault_of(kind == "hello" ? *message : (*message)[kind], schema, api) == "");
        wanted.erase(kind);
    }
}

TEST_CASE(
    "An alarm that is acknowledged on the page stands in the store with the name, and live clients hear of "
    "it") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    REQUIRE(listener.next_of("hello"));
    REQUIRE(client.post("/api/v1/alarms/1/acknowledge").status == 200);
    const auto heard = listener.next_of("alarm");
    REQUIRE(heard);
    CHECK((*heard)["alarm"]["state"] == "acknowledged");
    CHECK((*heard)["alarm"]["acknowledged_by"] == "reviewer");
    const Json alarms = client.get("/api/v1/alarms").json()["alarms"];
    REQUIRE(alarms.size() == 1);
    CHECK(alarms[0]["acknowledged_by"] == "reviewer");
    CHECK(client.post("/api/v1/alarms/1/acknowledge").status == 409);
}

TEST_CASE("An alarm that is shown before it is written asks to be acknowledged again, then can be") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    REQUIRE(listener.next_of("hello"));
    AlarmEventRow row = Store(page.folder / "records.db").alarm_events().front();
    row.id = "run/2";
    row.alarm_id = 2;
    page.feed->on_alarm(row);
    REQUIRE(listener.next_of("alarm"));
    const Reply early = client.post("/api/v1/alarms/2/acknowledge");
    CHECK(early.status == 503);
    CHECK(early.headers.at("retry-after") == "1");
    Store(page.folder / "records.db").write(std::vector<StoreRow>{row});
    CHECK(client.post("/api/v1/alarms/2/acknowledge").status == 200);
    CHECK(client.post("/api/v1/alarms/3/acknowledge").status == 404);
}

TEST_CASE("An alarm that the daemon raises is heard once, though the store tells of it too") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    REQUIRE(listener.next_of("hello"));
    AlarmEventRow row = Store(page.folder / "records.db").alarm_events().front();
    row.id = "run/2";
    row.alarm_id = 2;
    page.feed->on_alarm(row);
    page.writer->post(row);
    REQUIRE(page.writer->flush(std::chrono::seconds(10)));
    AlarmEventRow later = row;
    later.id = "run/3";
    later.alarm_id = 3;
    page.writer->post(later); // by the store only, as another process would
    std::vector<int> heard;
    while (heard.empty() || heard.back() != 3) {
        const auto alarm = listener.next_of("alarm");
        REQUIRE(alarm);
        heard.push_back((*alarm)["alarm"]["alarm"]);
    }
    CHECK(heard == std::vector<int>{2, 3});
}

TEST_CASE("A finding on the page is the same row and amendment that the command makes") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Reply reply = client.post("/api/v1/findings", {{"shift_id", 1},
                                                         {"call_ids", {1, 2}},
                                                         {"verdict", "not_a_call"},
                                                         {"just_before", "edge"},
                                                         {"note", "the gate"}});
    INFO(reply.body);
    REQUIRE(reply.status == 201);
    CHECK(reply.json()["amendment"] == 1);
    const Store store(page.folder / "records.db");
    store.read([](SQLite::Database& database) {
        const auto findings = read_findings(database);
        REQUIRE(findings.size() == 2);
        CHECK(findings[0].by == "reviewer");
        CHECK(findings[0].just_before == JustBefore::kEdge);
    });
    CHECK(client.get("/api/v1/calls/1/1").json()["findings"][0]["verdict"] == "not_a_call");
    CHECK(client.get("/api/v1/calls?judged=1").json()["calls"].size() == 2);
    CHECK(client.get("/api/v1/calls?judged=0").json()["calls"].empty());
}

TEST_CASE("Calls come newest first and page by page") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Json first = client.get("/api/v1/calls?most=1").json()["calls"];
    REQUIRE(first.size() == 1);
    CHECK(first[0]["call_id"] == 2);
    const Json second = client.get("/api/v1/calls?most=1&before_shift=1&before_call=2").json()["calls"];
    REQUIRE(second.size() == 1);
    CHECK(second[0]["call_id"] == 1);
    CHECK(second[0]["clip_id"] == 1);
    CHECK(client.get("/api/v1/calls?before_shift=1&before_call=1").json()["calls"].empty());
    const Json call = client.get("/api/v1/calls/1/1").json();
    CHECK(call["clip"]["clip_id"] == 1);
    CHECK(call["passage"]["vocal"] == true);
}

TEST_CASE("What is no route, no method, no JSON or of the wrong kind is told so") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    CHECK(client.get("/api/v1/nothing").status == 404);
    CHECK(client.get("/api/v2/live").status == 404);
    const Reply method = client.ask("DELETE", "/api/v1/shifts", nullptr, {});
    CHECK(method.status == 405);
    CHECK(method.headers.at("allow") == "GET");
    const std::string broken = "{\"shift_id\":";
    const HttpClient::Headers json = {"Content-Type: application/json", "X-Quietpass-Token: " + client.token};
    CHECK(client.ask("POST", "/api/v1/findings", &broken, json).status == 400);
    CHECK(client.ask("POST", "/api/v1/findings", &broken, {"X-Quietpass-Token: " + client.token}).status ==
          415);
    const std::string deep = "{\"a\":" + std::string(60000, '[');
    CHECK(client.ask("POST", "/api/v1/findings", &deep, json).status == 400);
    for (const Json& wrong :
         {Json{{"shift_id", -1}}, Json{{"shift_id", 18446744073709551615U}}, Json{{"shift_id", "1"}},
          Json{{"shift_id", 1}, {"verdict", 7}}, Json{{"shift_id", 1}, {"extra", 7}},
          Json{{"shift_id", 1}, {"verdict", "call"}, {"call_ids", "1"}},
          Json{{"shift_id", 1}, {"verdict", "call"}, {"call_ids", {1.5}}},
          Json{{"shift_id", 1}, {"verdict", "call"}, {"call_ids", Json::array()}}}) {
        INFO(wrong.dump());
        const Reply reply = client.post("/api/v1/findings", wrong);
        CHECK(reply.status == 422);
        CHECK_FALSE(reply.json()["error"]["do"].get<std::string>().empty());
    }
}

TEST_CASE("A long JSON answer is compressed for who takes it, and is the same; a session's never is") {
    ServedPage page;
    for (int i = 1; i <= 30; ++i) page.animal(i, 1);
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    REQUIRE(wait_until([&] { return client.get("/api/v1/live").json()["share"]["scored"] == 30; }));
    const HttpClient::Headers zipped = {"Accept-Encoding: gzip"};
    const Reply plain = client.get("/api/v1/live");
    const Reply small = client.get("/api/v1/live", zipped);
    CHECK(plain.headers.count("content-encoding") == 0);
    CHECK(plain.headers.at("vary") == "Accept-Encoding");
    CHECK(small.headers.at("content-encoding") == "gzip");
    CHECK(small.body.size() < plain.body.size() / 3);
    CHECK(client.get("/api/v1/openapi.json", zipped).headers.at("content-encoding") == "gzip");
    CHECK(client.get("/api/v1/session", zipped).headers.count("content-encoding") == 0);
}
