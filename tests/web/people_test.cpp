// Who may use the page, through a real server on loopback.

#include <sys/stat.h>

#include <utility>

#include "daemon/failure.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;

TEST_CASE("Who logs in with the right password gets a cookie that no script reads, and the ledger says so") {
    ServedPage page;
    HttpClient client(page.address);
    CHECK(client.get("/api/v1/session").status == 401);
    const Reply reply = client.log_in("reviewer", kPassword);
    REQUIRE(reply.status == 200);
    CHECK(reply.json()["role"] == "reviewer");
    const std::string cookie = reply.headers.at("set-cookie");
    CHECK(cookie.find("HttpOnly") != std::string::npos);
    CHECK(cookie.find("SameSite=Strict") != std::string::npos);
    CHECK(reply.headers.at("cache-control") == "no-store");
    CHECK(client.get("/api/v1/session").json()["name"] == "reviewer");
    CHECK(client.post("/api/v1/logout").status == 204);
    CHECK(client.get("/api/v1/session").status == 401);
    CHECK(page.accesses() == std::vector<std::string>{"reviewer login page", "reviewer logout page"});
}

TEST_CASE("A wrong password and an unknown name are refused alike, and no unknown name is kept") {
    ServedPage page;
    HttpClient client(page.address);
    const Reply wrong = client.log_in("reviewer", "not the right one");
    const Reply unknown = client.log_in("my-secret-password", "not the right one");
    CHECK(wrong.status == 401);
    CHECK(unknown.status == 401);
    CHECK(wrong.body == unknown.body);
    CHECK(page.accesses() == std::vector<std::string>{"reviewer login_failed page", " login_failed page"});
}

TEST_CASE("Who guesses must wait longer and longer, the right password too, and the wait ends") {
    ServedPage page;
    HttpClient client(page.address);
    for (int i = 0; i < 5; ++i) CHECK(client.log_in("reviewer", "guess number one").status == 401);
    const Reply early = client.log_in("reviewer", kPassword);
    CHECK(early.status == 429);
    CHECK(early.headers.at("retry-after") == "2");
    CHECK(client.log_in("wall", kPassword).status == 200); // another account isn't held up
    page.clock.go_to(1e6 + 2.1);
    CHECK(client.log_in("reviewer", "guess number six").status == 401);
    CHECK(client.log_in("reviewer", kPassword).headers["retry-after"] == "4");
    page.clock.go_to(1e6 + 7.0);
    CHECK(client.log_in("reviewer", kPassword).status == 200);
    CHECK(page.accesses().size() == 8); // throttled tries fill no ledger
}

TEST_CASE("One address that tries many names must wait too") {
    ServedPage page;
    HttpClient client(page.address);
    long status = 0;
    int tries = 0;
    for (; tries < 40 && status != 429; ++tries)
        status = client.log_in("name" + std::to_string(tries), "x").status;
    CHECK(tries == 21);
    HttpClient other(page.address, "127.0.0.2");
    CHECK(other.log_in("reviewer", kPassword).status == 200);
}

TEST_CASE("A wall screen sees the live page and nothing else") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    CHECK(client.get("/api/v1/live").status == 200);
    for (const char* path :
         {"/api/v1/shifts", "/api/v1/shifts/1", "/api/v1/calls", "/api/v1/clips/1/audio"}) {
        INFO(path);
        CHECK(client.get(path).status == 403);
    }
    CHECK(client.post("/api/v1/alarms/1/acknowledge").status == 403);
    CHECK(client.post("/api/v1/findings").status == 403);
}

TEST_CASE("A forged request is refused: without the token, with another's, from another site") {
    ServedPage page;
    HttpClient client(page.address);
    HttpClient other(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    REQUIRE(other.log_in("reviewer", kPassword).status == 200);
    const std::string own = std::exchange(client.token, "");
    const char* const path = "/api/v1/alarms/1/acknowledge";
    CHECK(client.post(path).status == 403);
    client.token = other.token;
    CHECK(client.post(path).status == 403);
    client.token = own;
    CHECK(client.post(path, {}, {"Origin: http://elsewhere.example"}).status == 403);
    CHECK(LiveListener(page.port, client.cookie, "http://elsewhere.example").status == 403);
    const nlohmann::json login = {{"name", "reviewer"}, {"password", kPassword}};
    CHECK(client.post("/api/v1/login", login, {"Origin: http://elsewhere.example"}).status == 403);
    CHECK(client.post(path, {}, {"Origin: " + page.address}).status == 200);
}

TEST_CASE("A session ends when it isn't used, and its live feed with it") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    REQUIRE(listener.status == 101);
    page.clock.go_to(1e6 + 1799.0);
    CHECK(client.get("/api/v1/session").status == 200); // and is used by that
    page.clock.go_to(1e6 + 3600.0);
    CHECK(client.get("/api/v1/session").status == 401);
    CHECK(listener.closes(std::chrono::seconds(10)));
}

TEST_CASE("A session ends after its longest time, however busy it is") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    for (int i = 1; i <= 49; ++i) {
        page.clock.go_to(1e6 + 900.0 * i);
        CHECK(client.get("/api/v1/session").status == (900.0 * i > 12 * 3600.0 ? 401 : 200));
    }
}

TEST_CASE("A wall screen's session is used by listening") {
    ServedPage page;
    HttpClient client(page.address);
    HttpClient wall(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    page.clock.go_to(1e6 + 600.0);
    REQUIRE(wall.log_in("wall", kPassword).status == 200);
    LiveListener screen(page.port, wall.cookie);
    REQUIRE(screen.status == 101);
    page.clock.go_to(1e6 + 1900.0);
    REQUIRE(listener.closes(std::chrono::seconds(10))); // so the sessions were looked at
    page.clock.go_to(1e6 + 3500.0);
    CHECK(wall.get("/api/v1/session").status == 200);
}

TEST_CASE("Who is removed or gets another role or password is logged out at once") {
    ServedPage page;
    People people(page.folder.path());
    HttpClient one(page.address);
    HttpClient two(page.address);
    REQUIRE(one.log_in("reviewer", kPassword).status == 200);
    REQUIRE(two.log_in("administrator", kPassword).status == 200);
    LiveListener listener(page.port, one.cookie);
    REQUIRE(listener.status == 101);
    people.set_role("reviewer", PageRole::kManager, 2);
    CHECK(one.get("/api/v1/session").status == 401);
    CHECK(listener.closes(std::chrono::seconds(10)));
    people.remove("administrator");
    people.add("administrator", PageRole::kWall, password_hash("somebody else's"), 3); // of the same name
    CHECK(two.get("/api/v1/session").status == 401);
}

TEST_CASE("No other machine is served before somebody may log in, and none without TLS") {
    TestFolder folder;
    StationSettings settings;
    settings.page.on = true;
    settings.page.address = "0.0.0.0";
    settings.page.port = 0;
    settings.page.tls = true;
    const Store made(folder / "records.db");
    StoreWriter writer(Store(folder / "records.db"));
    const ShiftBook book(settings, {}, nullptr, writer, [](const ClosedShift&) {});
    LiveFeed feed(book);
    const SimulatedClock clock;
    const auto make = [&] {
        Page page(settings, clock, folder.path(), feed, [](bool, const std::string&) {});
    };
    try {
        make();
        FAIL("it was served");
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        CHECK(std::string(failure.what()).find("quietpass users add") != std::string::npos);
    }
    People(folder.path()).add("ann", PageRole::kAdministrator, "none", 1);
    CHECK_NOTHROW(make());
}

TEST_CASE("Over TLS with its own certificate: the key is for this user only, cookies go by TLS only") {
    ServedPage page([](StationSettings& settings) { settings.page.tls = true; });
    REQUIRE(page.address.starts_with("https://"));
    struct stat key {};
    REQUIRE(stat((page.folder / "key" / "page.key").c_str(), &key) == 0);
    CHECK((key.st_mode & 0777U) == 0600);
    struct stat users {};
    REQUIRE(stat((page.folder / "users.db").c_str(), &users) == 0);
    CHECK((users.st_mode & 0777U) == 0600);
    HttpClient stranger(page.address);
    CHECK(stranger.get("/healthz").status == 0); // nobody vouches for it
    HttpClient client(page.address, "", page.folder / "key" / "page.crt");
    CHECK(client.get("/healthz").status == 200);
    const Reply reply = client.log_in("reviewer", kPassword);
    REQUIRE(reply.status == 200);
    CHECK(reply.headers.at("set-cookie").find("; Secure") != std::string::npos);
    const Reply sound = client.get("/api/v1/clips/1/audio", {"Range: bytes=10-19"});
    CHECK(sound.body == page.clip.substr(10, 10));
}
