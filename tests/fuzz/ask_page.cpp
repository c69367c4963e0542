#include <algorithm>
#include <stdexcept>

#include "daemon/web/api.h"
#include "tests/fuzz/fuzzed.h"
#include "tests/web/served_page.h"

namespace quietpass::fuzz {

namespace {

// As a client that sent all it has: ends when the server has closed or gone silent.
void send_and_read(test::RawSocket& socket, std::string_view bytes) {
    socket.send(std::string(bytes));
    socket.sends_no_more();
    socket.closes(std::chrono::seconds(20));
    if (!socket.ended) throw std::logic_error("a connection that the server neither serves nor closes");
}

test::ServedPage& page() {
    static test::ServedPage served([](StationSettings& settings) {
        settings.page.connections_per_address = 1000;
        settings.page.header_s = 2.0;
        settings.page.body_s = 2.0;
        settings.page.idle_s = 2.0;
    });
    return served;
}

std::string wall_cookie() {
    test::HttpClient client(page().address);
    if (client.log_in("wall", test::kPassword).status != 200) throw std::logic_error("no login");
    return client.cookie;
}

// The interface without sockets, somebody logged in who may do all.
struct Asked {
    test::ServedPage& served = page();
    RealClock clock;
    People people{served.folder.path()};
    Sessions sessions{clock, {}};
    LoginThrottle throttle{clock};
    PageMetrics metrics{"box-1"};
    LiveBoard board{served.settings, metrics};
    Api api{{served.settings, clock, served.folder.path(), people, sessions, throttle, board, metrics}};
    Session session =
        sessions.open("administrator", PageRole::kAdministrator, people.find("administrator")->version);

    // The posts that read a body.
    const std::vector<std::string> routes = {"findings",
                                             "changes",
                                             "lots",
                                             "lots/end",
                                             "notes",
                                             "handaudits",
                                             "handaudits/1/scores",
                                             "cases",
                                             "cases/1/gather",
                                             "cases/1/drop",
                                             "cases/1/hold",
                                             "cases/1/steps"};

    WebAnswer post(const std::string& route, std::string body) {
        WebRequest request;
        request.method = "POST";
        request.path = "/api/v1/" + route;
        request.address = "127.0.0.1";
        request.body = std::move(body);
        request.cookie = "quietpass_session=" + session.id;
        request.token = session.token;
        request.content_type = "application/json";
        return api.answer(request);
    }
};

} // namespace

void json_body(std::string_view bytes) {
    static Asked asked;
    if (bytes.empty()) return;
    const auto which = static_cast<unsigned char>(bytes.front()) % asked.routes.size();
    const WebAnswer answer = asked.post(asked.routes[which], std::string(bytes.substr(1)));
    if (answer.status >= 500)
        throw std::logic_error(asked.routes[which] + ": " + (answer.body ? *answer.body : ""));
}

void http_request(std::string_view bytes) {
    test::RawSocket socket(page().port);
    send_and_read(socket, bytes);
}

void websocket_frames(std::string_view bytes) {
    static const std::string cookie = wall_cookie();
    test::RawSocket socket(page().port);
    socket.send(
        "GET /api/v1/live HTTP/1.1\r\nHost: x\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
        "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\nCookie: " +
        cookie + "\r\n\r\n");
    send_and_read(socket, bytes);
}

} // namespace quietpass::fuzz
