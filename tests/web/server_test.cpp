// The server's limits and deadlines, against clients that are slow, silent, broken or many.

#include <sys/resource.h>

#include <deque>
#include <fstream>

#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;
using std::chrono::milliseconds;
using std::chrono::seconds;

namespace {

double resident_mb() {
    std::ifstream file("/proc/self/statm");
    long pages = 0;
    file >> pages >> pages;
    return static_cast<double>(pages) * 4096e-6;
}

// Asked for while something else goes wrong; the longest answer, seconds.
double slowest_answer(HttpClient& client, int times) {
    double longest_s = 0.0;
    for (int i = 0; i < times; ++i) {
        const auto start = std::chrono::steady_clock::now();
        REQUIRE(client.get("/healthz").status == 200);
        longest_s = std::max(longest_s,
                             std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    return longest_s;
}

void short_deadlines(StationSettings& settings) {
    settings.page.header_s = 1.0;
    settings.page.body_s = 1.0;
    settings.page.idle_s = 1.0;
    settings.page.write_s = 1.0;
}

} // namespace

TEST_CASE("One byte range is given exactly; what can't be given is refused; a play is told once a session") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const char* const path = "/api/v1/clips/1/audio";
    const std::string size = std::to_string(page.clip.size());
    const auto range = [&](const std::string& text) { return client.get(path, {"Range: " + text}); };

    const Reply whole = client.get(path);
    CHECK(whole.status == 200);
    CHECK(whole.body == page.clip);
    CHECK(whole.headers.at("accept-ranges") == "bytes");
    CHECK(whole.headers.at("content-type") == "audio/flac");
    const Reply part = range("bytes=1000-70000");
    CHECK(part.status == 206);
    CHECK(part.body == page.clip.substr(1000, 69001));
    CHECK(part.headers.at("content-range") == "bytes 1000-70000/" + size);
    CHECK(range("bytes=0-0").body == page.clip.substr(0, 1));
    CHECK(range("bytes=-100").body == page.clip.substr(page.clip.size() - 100));
    CHECK(range("bytes=99990-").body == page.clip.substr(99990));
    CHECK(range("bytes=99990-200000").headers["content-range"] == "bytes 99990-99999/" + size);
    for (const char* bad :
         {"bytes=100000-", "bytes=5-4", "bytes=-0", "bytes=0-1,5-6", "bytes=a-b", "bytes=-"}) {
        INFO(bad);
        const Reply reply = range(bad);
        CHECK(reply.status == 416);
        CHECK(reply.headers.at("content-range") == "bytes */" + size);
    }
    const Reply head = client.head(path);
    CHECK(head.status == 200);
    CHECK(head.headers.at("content-length") == size);
    CHECK(page.accesses() == std::vector<std::string>{"reviewer login page", "reviewer play clip 1"});
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    range("bytes=0-9");
    CHECK(page.accesses().back() == "reviewer play clip 1");
    CHECK(page.accesses().size() == 4);
}

TEST_CASE("A deleted clip is gone and says when, one that never was is not there") {
    ServedPage page;
    Store store(page.folder / "records.db");
    delete_clip(store, 1);
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    CHECK(client.get("/api/v1/clips/1/audio").status == 410);
    CHECK(client.get("/api/v1/clips/2/audio").status == 404);
    CHECK(client.get("/api/v1/clips/../audio").status == 404);
}

TEST_CASE("A clip's file that leads out of the records' folder is never given") {
    ServedPage page;
    Store store(page.folder / "records.db");
    add_clip(store, {.clip_id = 2, .shift_id = page.shift_id, .file = "../../../../etc/hostname"});
    add_clip(store, {.clip_id = 3, .shift_id = page.shift_id, .file = "/etc/hostname"});
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    CHECK(client.get("/api/v1/clips/2/audio").status == 404);
    CHECK(client.get("/api/v1/clips/3/audio").status == 404);
}

TEST_CASE(
    "An endless header is cut off by its size, a slow one and a slow body by their time; others are served") {
    ServedPage page(short_deadlines);
    HttpClient other(page.address);
    RawSocket endless(page.port);
    REQUIRE(endless.send("GET / HTTP/1.1\r\nHost: x\r\nX: "));
    for (int i = 0; i < 100 && endless.send(std::string(1000, 'a')); ++i) {
    }
    CHECK(endless.closes(seconds(10)));

    RawSocket slow_header(page.port);
    RawSocket slow_body(page.port);
    RawSocket silent(page.port); // a half-open one: never says a word
    REQUIRE(slow_header.send("GET / HTTP/1.1\r\n"));
    REQUIRE(
        slow_body.send("POST /api/v1/login HTTP/1.1\r\nHost: x\r\nContent-Type: "
                       "application/json\r\nContent-Length: 100\r\n\r\n{"));
    const double cut_before = page.metric("quietpass_http_cut_off_total");
    const auto start = std::chrono::steady_clock::now();
    bool open = true;
    double longest_s = 0.0;
    while (open && std::chrono::steady_clock::now() - start < seconds(20)) {
        // A byte now and then doesn't lengthen the deadline.
        slow_header.send("X");
        slow_body.send(" ");
        longest_s = std::max(longest_s, slowest_answer(other, 1));
        open = !slow_header.closes(milliseconds(10)) || !slow_body.closes(milliseconds(10)) ||
               !silent.closes(milliseconds(10));
    }
    CHECK_FALSE(open);
    CHECK(longest_s < 0.5);
    CHECK(page.metric("quietpass_http_cut_off_total") >= cut_before + 2);
}

TEST_CASE("A body beyond its limit and what is no HTTP are answered and closed") {
    ServedPage page;
    RawSocket large(page.port);
    large.send("POST /api/v1/login HTTP/1.1\r\nHost: x\r\nContent-Length: 1000000\r\n\r\n");
    CHECK(large.receive(seconds(10)).starts_with("HTTP/1.1 413"));
    CHECK(large.closes(seconds(10)));
    RawSocket nonsense(page.port);
    nonsense.send("what is this\r\n\r\n");
    CHECK(nonsense.receive(seconds(10)).starts_with("HTTP/1.1 400"));
    CHECK(nonsense.closes(seconds(10)));
}

TEST_CASE("A client that doesn't take its answer is cut off") {
    ServedPage page([](StationSettings& settings) { short_deadlines(settings); });
    // More than the system holds for both sides.
    page.folder.write("clips/one.flac", std::string(30'000'000, 'x'));
    HttpClient client(page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    RawSocket lazy(page.port, 4096);
    REQUIRE(
        lazy.send("GET /api/v1/clips/1/audio HTTP/1.1\r\nHost: x\r\nCookie: " + client.cookie + "\r\n\r\n"));
    const double before = page.metric("quietpass_http_cut_off_total");
    CHECK(wait_until([&] { return page.metric("quietpass_http_cut_off_total") > before; }));
    CHECK(client.get("/healthz").status == 200);
}

TEST_CASE(
    "Of 10,000 connections no more stay open than are allowed, memory stays bounded, a live client is "
    "undisturbed",
    "[timed]") {
    rlimit files{};
    getrlimit(RLIMIT_NOFILE, &files);
    files.rlim_cur = std::min<rlim_t>(files.rlim_max, 12000);
    setrlimit(RLIMIT_NOFILE, &files);
    ServedPage page([](StationSettings& settings) { settings.page.connections_per_address = 50; });
    HttpClient other(page.address, "127.0.0.2");
    REQUIRE(other.log_in("wall", kPassword).status == 200);
    LiveListener listener(page.port, other.cookie);
    REQUIRE(listener.next_of("hello"));
    const double before_mb = resident_mb();
    // As many at once as this process may have open, the oldest go.
    const std::size_t at_once = std::min<std::size_t>(10000, files.rlim_cur - 200);
    std::deque<std::unique_ptr<RawSocket>> many;
    std::int64_t animals = 0;
    double longest_s = 0.0;
    for (int i = 0; i < 10000; ++i) {
        if (many.size() == at_once) many.pop_front();
        many.push_back(std::make_unique<RawSocket>(page.port));
        many.back()->send("GET / HTTP/1.1\r\nX: ");
        if (i % 500 != 0) continue;
        const auto start = std::chrono::steady_clock::now();
        page.animal(++animals);
        const auto passage = listener.next_of("passage");
        REQUIRE(passage);
        CHECK((*passage)["passage"]["passage_id"] == animals);
        longest_s = std::max(longest_s,
                             std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    CHECK(longest_s < 0.5);
    CHECK(slowest_answer(other, 20) < 0.5);
    CHECK(page.metric("quietpass_http_connections") <= 50 + 3);
    CHECK(page.metric("quietpass_http_connections_refused_total") >= 9900);
    const double more_mb = resident_mb() - before_mb;
    CHECK(more_mb < 50.0);
    WARN(at_once << " at once; " << more_mb << " MB more; live at most " << 1000.0 * longest_s << " ms late");
    many.clear();
    CHECK(wait_until([&] { return page.metric("quietpass_http_connections") <= 4; }));
}

TEST_CASE("A live client gets what happened within 300 ms", "[timed]") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    REQUIRE(listener.status == 101);
    const auto hello = listener.next();
    REQUIRE(hello);
    CHECK((*hello)["kind"] == "hello");
    CHECK((*hello)["alarms"].size() == 1);
    double longest_s = 0.0;
    for (int i = 1; i <= 20; ++i) {
        const auto start = std::chrono::steady_clock::now();
        page.animal(i, i % 2);
        const auto passage = listener.next_of("passage");
        longest_s = std::max(longest_s,
                             std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
        REQUIRE(passage);
        CHECK((*passage)["passage"]["passage_id"] == i);
        CHECK((*passage)["passage"]["calls"].size() == static_cast<std::size_t>(i % 2));
        const auto share = listener.next_of("share");
        REQUIRE(share);
        CHECK((*share)["share"]["scored"] == i);
        CHECK((*share)["share"]["vocal"] == (i + 1) / 2);
        CHECK((*share)["share"]["percent_low"].is_number());
    }
    CHECK(longest_s < 0.3);
    WARN("longest from the event to the client: " << 1000.0 * longest_s << " ms");
    const auto board = client.get("/api/v1/live").json();
    CHECK(board["passages"].size() == 20);
    CHECK(board["share"]["scored"] == 20);
}

TEST_CASE("The live page keeps the last fifty passages") {
    ServedPage page;
    for (int i = 1; i <= 60; ++i) page.animal(i);
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    REQUIRE(wait_until([&] { return client.get("/api/v1/live").json()["share"]["scored"] == 60; }));
    const auto passages = client.get("/api/v1/live").json()["passages"];
    CHECK(passages.size() == 50);
    CHECK(passages[0]["passage_id"] == 11);
}

TEST_CASE("A live client that reads nothing is dropped, and no other waits for it", "[timed]") {
    ServedPage page([](StationSettings& settings) { settings.page.live_queue_kb = 64; });
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    LiveListener lazy(page.port, client.cookie, "", 4096);
    REQUIRE(lazy.status == 101);
    LiveListener brisk(page.port, client.cookie);
    REQUIRE(brisk.next_of("hello"));
    double longest_s = 0.0;
    int animals = 0;
    while (page.metric("quietpass_live_dropped_total") == 0 && animals < 5000) {
        const auto start = std::chrono::steady_clock::now();
        for (int i = 0; i < 5; ++i) page.animal(++animals, 3);
        for (auto passage = brisk.next_of("passage");; passage = brisk.next_of("passage")) {
            REQUIRE(passage);
            if ((*passage)["passage"]["passage_id"] == animals) break;
        }
        longest_s = std::max(longest_s,
                             std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    CHECK(page.metric("quietpass_live_dropped_total") == 1);
    CHECK(wait_until([&] { return page.metric("quietpass_live_clients") == 1.0; }));
    CHECK(longest_s < 0.5); // five animals with three calls each
    page.animal(++animals);
    CHECK(brisk.next_of("passage"));
}

TEST_CASE("A live client that talks is closed") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("wall", kPassword).status == 200);
    LiveListener listener(page.port, client.cookie);
    REQUIRE(listener.next_of("hello"));
    listener.send(std::string("\x81\x82\x00\x00\x00\x00hi", 8));
    CHECK(listener.closes(seconds(10)));
    CHECK(LiveListener(page.port, "quietpass_session=none").status == 401);
}

TEST_CASE(
    "Files with a hash in their name are kept by browsers, others asked for again; nothing runs inline") {
    TestFolder built;
    built.write("index.html", "<!doctype html>" + std::string(2000, ' '));
    built.write("app.4F2A9C01.js", "let a = 1;" + std::string(2000, ' '));
    ServedPage page([&](StationSettings& settings) { settings.page.files = built.path().string(); });
    HttpClient client(page.address);
    const Reply index = client.get("/");
    CHECK(index.status == 200);
    CHECK(index.headers.at("cache-control") == "no-cache");
    const std::string policy = index.headers.at("content-security-policy");
    CHECK(policy.find("default-src 'none'") != std::string::npos);
    CHECK(policy.find("unsafe") == std::string::npos);
    CHECK(client.get("/shifts/7").body == index.body); // a place within the page
    CHECK(client.get("/", {"If-None-Match: " + index.headers.at("etag")}).status == 304);
    const Reply script = client.get("/app.4F2A9C01.js", {"Accept-Encoding: gzip"});
    CHECK(script.headers.at("cache-control").find("immutable") != std::string::npos);
    CHECK(script.headers.at("content-encoding") == "gzip");
    CHECK(script.body.size() < 200);
    CHECK(client.get("/app.js").status == 404);
    CHECK(client.get("/../users.db").status == 404);
    CHECK(client.get("/.%2e/users.db").status == 404);
    CHECK(client.post("/").status == 405);
}

TEST_CASE("A built page behind a link is served as any other") {
    TestFolder built;
    TestFolder elsewhere;
    built.write("index.html", "<!doctype html>");
    built.write("app.4F2A9C01.js", "let a = 1;");
    std::filesystem::create_directory_symlink(built.path(), elsewhere / "page");
    ServedPage page([&](StationSettings& settings) { settings.page.files = (elsewhere / "page").string(); });
    HttpClient client(page.address);
    CHECK(client.get("/app.4F2A9C01.js").body == "let a = 1;");
}

TEST_CASE("Without a built page a plain one is served, with its style and no script") {
    ::setenv("QUIETPASS_PAGE", "", 1);
    ServedPage page;
    ::unsetenv("QUIETPASS_PAGE");
    HttpClient client(page.address);
    const std::string html = client.get("/").body;
    CHECK(html.find("<script") == std::string::npos);
    const std::size_t at = html.find("href=\"/page.") + 6;
    const Reply style = client.get(html.substr(at, html.find('"', at) - at));
    CHECK(style.status == 200);
    CHECK(style.headers.at("content-type").starts_with("text/css"));
}

TEST_CASE("Prometheus reads /metrics: each figure has its kind, its help and a number") {
    ServedPage page;
    page.animal(1, 1);
    REQUIRE(wait_until([&] { return page.metric("quietpass_passages_total") == 1.0; }));
    HttpClient client(page.address);
    const Reply reply = client.get("/metrics");
    CHECK(reply.headers.at("content-type").starts_with("text/plain; version=0.0.4"));
    std::map<std::string, std::string> kinds;
    std::istringstream lines(reply.body);
    std::size_t figures = 0;
    for (std::string line; std::getline(lines, line);) {
        INFO(line);
        if (line.starts_with("# TYPE ")) {
            const std::size_t mark = line.rfind(' ');
            kinds[line.substr(7, mark - 7)] = line.substr(mark + 1);
        } else if (!line.starts_with("#")) {
            const std::string name = line.substr(0, line.find_first_of("{ "));
            CHECK(kinds.contains(name));
            CHECK_NOTHROW(std::stod(line.substr(line.rfind(' ') + 1)));
            ++figures;
        }
    }
    CHECK(figures >= 10);
    CHECK(page.metric("quietpass_vocal_percent") == 100.0);
    CHECK(page.metric("quietpass_open_alarms") == 1.0);
}
