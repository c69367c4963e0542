// Requests at random, made from openapi.json: every answer is one that is described there, none tells of a
// fault of our own, and the page goes on. QUIETPASS_FUZZ_ROUNDS: how often each route is asked (30).

#include <cstdlib>
#include <set>

#include "daemon/clips/clip_flac.h"
#include "tests/web/made_request.h"
#include "tests/web/manager.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

int rounds() {
    const char* wished = std::getenv("QUIETPASS_FUZZ_ROUNDS");
    return wished != nullptr ? std::atoi(wished) : 30;
}

// Those end or begin a session, which the rest of the requests needs.
bool is_of_sessions(const std::string& route) {
    return route == "/login" || route == "/logout";
}

// Clip 1 is sound, so that pictures are made of it.
void put_sound(const ServedPage& page) {
    SoundCut cut;
    cut.rate_hz = 16000.0;
    cut.frames = 16000;
    cut.channels = {SoundCut::Channel{16000.0, std::vector<float>(16000, 0.1F)}};
    page.folder.write("clips/one.flac", flac_of(cut, 16, {}));
}

struct Asked {
    std::map<std::string, int> of_status;
    std::set<std::string> undescribed; // answers whose status openapi.json doesn't know
    int whole = 0;

    void one(Described& api, RequestMaker& make, const std::string& route, const std::string& method,
             const Json& operation) {
        const std::string path = make.path(route, operation);
        std::string body;
        HttpClient::Headers headers;
        if (method == "post") {
            if (!make.chance(20)) headers.push_back("X-Quietpass-Token: " + api.client.token);
            headers.emplace_back(make.chance(20) ? "Content-Type: text/plain"
                                                 : "Content-Type: application/json");
            body = operation.contains("requestBody")
                       ? make.body(operation["requestBody"]["content"]["application/json"]["schema"])
                       : "";
        }
        const Reply reply = api.client.ask(method == "post" ? "POST" : "GET", "/api/v1" + path,
                                           method == "post" ? &body : nullptr, headers);
        INFO(method << " " << path << " " << body.substr(0, 500));
        REQUIRE(reply.status != 0);
        // Too much at a time is said with how long to wait; any other is a fault of ours.
        REQUIRE((reply.status < 500 || reply.headers.contains("retry-after")));
        // A path that no route fits any more, as one with an empty part, is simply not there.
        const bool described = operation["responses"].contains(std::to_string(reply.status));
        if (described)
            api.check(reply, route, method);
        else if (reply.status != 404)
            undescribed.insert(method + " " + route + " " + std::to_string(reply.status));
        ++of_status[std::to_string(reply.status)];
        ++whole;
    }
};

} // namespace

TEST_CASE(
    "Random requests made from the description are answered as described, and never by a fault of ours") {
    Manager at;
    put_sound(at.page);
    REQUIRE(at.client.log_in("administrator", kPassword).status == 200);
    RequestMaker make(at.api.api, 20261126);
    Asked asked;
    for (int round = 0; round < rounds(); ++round) {
        for (const auto& [route, methods] : at.api.api["paths"].items()) {
            if (is_of_sessions(route)) continue;
            for (const auto& [method, operation] : methods.items())
                asked.one(at.api, make, route, method, operation);
        }
    }
    CHECK(at.client.get("/metrics").status == 200);
    CHECK(asked.undescribed == std::set<std::string>{});
    // The requests are not so strange that all of them end at the door.
    CHECK(asked.of_status["200"] > asked.whole / 10);
    CHECK(asked.of_status["201"] > 0);
    CHECK(asked.of_status["400"] > 0);
    CHECK(asked.of_status["422"] > 0);
    std::string counts;
    for (const auto& [status, count] : asked.of_status) counts += " " + status + ":" + std::to_string(count);
    WARN(asked.whole << " requests," << counts);
}

TEST_CASE("Bytes that are nearly a request end in an answer or a closed connection, and the page goes on") {
    ServedPage page;
    HttpClient other(page.address, "127.0.0.2");
    std::mt19937 random(7);
    const auto below = [&](std::size_t bound) {
        return std::uniform_int_distribution<std::size_t>(0, bound - 1)(random);
    };
    const std::string whole =
        "POST /api/v1/findings?x=%41 HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
        "Cookie: a=b; quietpass_session=00\r\nRange: bytes=0-5\r\nTransfer-Encoding: chunked\r\n"
        "Connection: close\r\n\r\n5\r\n{\"a\":\r\n3;x=y\r\n1}\n\r\n0\r\nTrailer: x\r\n\r\n";
    int answered = 0;
    for (int i = 0; i < 10 * rounds(); ++i) {
        std::string bytes = whole;
        for (std::size_t changes = 1 + below(4); changes > 0; --changes) {
            const std::size_t at = below(bytes.size());
            switch (below(4)) {
                case 0:
                    bytes[at] = static_cast<char>(below(256));
                    break;
                case 1:
                    bytes.erase(at, 1 + below(20));
                    break;
                case 2:
                    bytes.insert(at, std::string(1 + below(20), static_cast<char>(below(256))));
                    break;
                default:
                    bytes.insert(at, bytes.substr(below(bytes.size()), below(30)));
                    break;
            }
        }
        RawSocket socket(page.port);
        socket.send(bytes);
        const std::string answer = socket.receive(std::chrono::milliseconds(200));
        if (!answer.empty()) {
            INFO(bytes);
            REQUIRE(answer.starts_with("HTTP/1.1 4"));
            ++answered;
        }
        if (i % 50 == 0) REQUIRE(other.get("/healthz").status == 200);
    }
    CHECK(answered > rounds());
    CHECK(other.get("/healthz").status == 200);
}
