#include "daemon/web/page.h"

#include <algorithm>
#include <cstdlib>

#include "daemon/build_facts.h"
#include "daemon/failure.h"
#include "daemon/web/api.h"
#include "daemon/web/gzip.h"
#include "daemon/web/http_server.h"
#include "daemon/web/page_access.h"
#include "daemon/web/static_files.h"

namespace quietpass {

namespace {

constexpr auto kTakeEvents = std::chrono::milliseconds(25);
// Sound is looked at for so long after the last who listened left: a page that is loaded anew has it all.
constexpr std::int64_t kLooksOn_ns = 30'000'000'000;
constexpr auto kLookAtAlarms = std::chrono::seconds(1);
// Without a turn of the daemon's loop for so long, it stands.
constexpr double kStands_s = 15.0;

SessionLimits session_limits(const PageSettings& page) {
    SessionLimits limits;
    limits.idle_s = 60.0 * page.session_idle_minutes;
    limits.longest_s = 3600.0 * page.session_hours;
    return limits;
}

const PageSettings& checked(const PageSettings& page, const People& people,
                            const std::filesystem::path& out) {
    const PageRefusal refusal = page_refusal(page, !people.all().empty(), out);
    if (!refusal.why.empty()) throw Failure(kExitUsage, refusal.why + "; " + refusal.to_do);
    return page;
}

// $QUIETPASS_PAGE, the installed place or the build's own; empty where none has been built.
std::string shipped_page_folder() {
    if (const char* wished = std::getenv("QUIETPASS_PAGE")) return wished;
    for (const char* folder : {kInstalledPage, kBuiltPage}) {
        if (std::filesystem::exists(std::filesystem::path(folder) / "index.html")) return folder;
    }
    return {};
}

std::optional<TlsFiles> tls_of(const PageSettings& page, const std::filesystem::path& out) {
    return page.tls ? std::optional(tls_files(page, out)) : std::nullopt;
}

WebAnswer plain(int status, const std::string& text, const char* type = "text/plain; charset=utf-8") {
    WebAnswer answer;
    answer.status = status;
    answer.type = type;
    answer.body = std::make_shared<const std::string>(text);
    return answer;
}

} // namespace

struct Page::Parts {
    PageSettings page;
    RealClock real; // of the loop's turns
    Say say;
    LiveFeed& feed;
    PageMetrics metrics;
    People people;
    Sessions own_sessions;
    Sessions& sessions;
    LoginThrottle throttle;
    LiveBoard board;
    Api api;
    StaticFiles files;
    std::optional<TlsFiles> tls;
    HttpServer server;
    std::atomic<std::int64_t> last_turn_ns;
    std::optional<std::int64_t> last_listened_ns; // on the sockets' thread
    std::int64_t last_alarm_event = 0;            // of the store; on the worker that looks, one at a time
    std::atomic<bool> looking_at_alarms{false};

    Parts(const StationSettings& settings, const Clock& clock, const std::filesystem::path& out,
          LiveFeed& station_feed, Say tell, PageLinks links)
        : page(settings.page),
          say(std::move(tell)),
          feed(station_feed),
          metrics(settings.name),
          people(out),
          own_sessions(clock, {}),
          sessions(links.sessions != nullptr ? *links.sessions : own_sessions),
          throttle(clock),
          board(settings, metrics),
          api({settings, clock, out, people, sessions, throttle, board, metrics, [this] { look_at_alarms(); },
               say, std::move(links.reload)}),
          files(page.files.empty() ? shipped_page_folder() : page.files),
          tls(tls_of(checked(page, people, out), out)),
          server(page, tls, handlers(), metrics),
          last_turn_ns(real.monotonic_ns()) {
        sessions.limit(session_limits(page));
        const auto rows = api.alarm_rows(0);
        if (!rows.empty()) last_alarm_event = rows.back().event_id;
        board.recall(rows);
        server.every(kTakeEvents, [this] { take_events(); });
        server.every(kLookAtAlarms, [this] { look_at_alarms(); });
    }

    HttpServer::Handlers handlers() {
        HttpServer::Handlers all;
        all.answer = [this](const WebRequest& request) { return answer(request); };
        all.is_slow = Api::is_login;
        all.may_listen = [this](const WebRequest& request, WebAnswer& refusal) -> std::optional<std::string> {
            const auto session = api.may_listen(request, refusal);
            return session ? std::optional(session->id) : std::nullopt;
        };
        all.still_listens = [this](const std::string& id) { return api.still_listens(id); };
        all.hello = [this] { return board.snapshot(); };
        return all;
    }

    WebAnswer answer(const WebRequest& request) {
        const bool looks = request.method == "GET" || request.method == "HEAD";
        if (request.path.starts_with("/api/")) {
            WebAnswer made = api.answer(request);
            // A login's and a session's answer holds the token.
            const bool secret = Api::is_login(request) || request.path == "/api/v1/session";
            if (made.type == "application/json" && !secret) gzip_body(made, request);
            return made;
        }
        if (!looks) return plain(405, "GET and HEAD only\n");
        if (request.path == "/healthz") {
            const double since_s = static_cast<double>(real.monotonic_ns() - last_turn_ns.load()) * 1e-9;
            const bool well = since_s < kStands_s;
            return plain(well ? 200 : 503, well ? "ok\n" : "the station stands\n");
        }
        if (request.path == "/metrics") {
            if (!page.metrics_to_all && !is_loopback(request.address)) {
                return plain(403, "for this machine only; metrics_to = \"all\" in [page] changes that\n");
            }
            return plain(200, metrics.text(), "text/plain; version=0.0.4; charset=utf-8");
        }
        return files.answer(request);
    }

    // On the sockets' thread.
    void take_events() {
        if (server.live_clients() > 0) last_listened_ns = real.monotonic_ns();
        feed.listened(last_listened_ns && real.monotonic_ns() - *last_listened_ns < kLooksOn_ns);
        const auto send = [this](const LiveBoard::Message& message) { server.broadcast(message); };
        feed.take([&](const LiveEvent& event) {
            last_turn_ns.store(real.monotonic_ns());
            board.apply(event, send);
        });
        if (const std::uint64_t lost = feed.lost(); lost > 0) {
            metrics.events_lost(lost);
            say(true, "page: " + std::to_string(lost) + " events came faster than the page took them");
        }
    }

    // What other processes, and persons by the page, entered. Those of the daemon came by the feed.
    void look_at_alarms() {
        if (looking_at_alarms.exchange(true)) return;
        const bool taken = server.on_worker([this] {
            try {
                const auto rows = api.alarm_rows(last_alarm_event);
                if (!rows.empty()) last_alarm_event = rows.back().event_id;
                looking_at_alarms.store(false);
                if (rows.empty()) return;
                server.on_socket_thread([this, rows] {
                    const auto send = [this](const LiveBoard::Message& message) {
                        server.broadcast(message);
                    };
                    for (const AlarmEventRow& row : rows) board.apply({0, std::nullopt, row}, send);
                });
            } catch (const std::exception&) {
                looking_at_alarms.store(false); // the store's trouble is told by who writes to it
            }
        });
        if (!taken) looking_at_alarms.store(false);
    }
};

Page::Page(const StationSettings& settings, const Clock& clock, const std::filesystem::path& out,
           LiveFeed& feed, Say say, PageLinks links)
    : parts_(std::make_unique<Parts>(settings, clock, out, feed, std::move(say), std::move(links))) {}

Page::~Page() {
    stop();
}

void Page::start() {
    parts_->server.start();
    if (parts_->tls && parts_->tls->own) {
        parts_->say(false,
                    "page: its own certificate has the SHA-256 fingerprint " + parts_->tls->fingerprint);
    }
    parts_->say(false, "page: " + address());
}

void Page::stop() {
    parts_->server.stop();
}

std::string Page::address() const {
    const std::string& host = parts_->page.address;
    const bool six = host.find(':') != std::string::npos;
    return std::string(parts_->tls ? "https" : "http") + "://" + (six ? "[" + host + "]" : host) + ":" +
           std::to_string(parts_->server.port()) + "/";
}

} // namespace quietpass
