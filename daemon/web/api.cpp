#include "daemon/web/api.h"

#include <algorithm>
#include <utility>

#include "daemon/failure.h"
#include "daemon/records/access_rows.h"
#include "daemon/records/alarm_event_rows.h"
#include "daemon/records/row_reader.h"
#include "daemon/settings/key_file.h"
#include "daemon/web/api_route.h"

namespace quietpass {

namespace {

constexpr std::string_view kBase = "/api/v1/";
constexpr std::string_view kCookie = "quietpass_session=";

std::vector<std::string> parts_of(std::string_view path) {
    std::vector<std::string> parts;
    while (true) {
        const std::size_t end = path.find('/');
        parts.emplace_back(path.substr(0, end));
        if (end == std::string_view::npos) return parts;
        path.remove_prefix(end + 1);
    }
}

int hex_digit(char letter) {
    if (letter >= '0' && letter <= '9') return letter - '0';
    const char lower = static_cast<char>(letter | 0x20);
    return lower >= 'a' && lower <= 'f' ? lower - 'a' + 10 : -1;
}

std::string decoded(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool escape = text[i] == '%' && i + 2 < text.size();
        const int high = escape ? hex_digit(text[i + 1]) : -1;
        const int low = escape ? hex_digit(text[i + 2]) : -1;
        if (high >= 0 && low >= 0) {
            out += static_cast<char>(16 * high + low);
            i += 2;
        } else {
            out += text[i] == '+' ? ' ' : text[i];
        }
    }
    return out;
}

std::map<std::string, std::string> query_of(std::string_view text) {
    std::map<std::string, std::string> query;
    while (!text.empty()) {
        const std::string_view one = text.substr(0, text.find('&'));
        text.remove_prefix(std::min(text.size(), one.size() + 1));
        const std::size_t mark = one.find('=');
        if (mark != std::string_view::npos)
            query[decoded(one.substr(0, mark))] = decoded(one.substr(mark + 1));
    }
    return query;
}

// Of "a=1; quietpass_session=…; b=2".
std::string session_cookie(const std::string& header) {
    std::string_view rest = header;
    while (!rest.empty()) {
        std::string_view one = rest.substr(0, rest.find(';'));
        rest.remove_prefix(std::min(rest.size(), one.size() + 1));
        while (one.starts_with(' ')) one.remove_prefix(1);
        if (one.starts_with(kCookie)) return std::string(one.substr(kCookie.size()));
    }
    return {};
}

// A browser says from which page a request comes; one of another place is forged.
bool from_elsewhere(const WebRequest& request) {
    if (request.origin.empty()) return false;
    return request.origin != (request.secure ? "https://" : "http://") + request.host;
}

Json body_of(const WebRequest& request) {
    if (!request.content_type.starts_with("application/json")) {
        throw Refusal{415, "expected JSON", "Content-Type", "send application/json"};
    }
    Json body = Json::parse(request.body, nullptr, false);
    if (!body.is_object()) throw Refusal{400, "the body is no JSON object", "body", "mend it"};
    return body;
}

} // namespace

// `least`: none: anybody.
struct Api::Route {
    const char* method;
    std::vector<std::string> parts; // below the base; "{…}" is any
    std::optional<PageRole> least;
    WebAnswer (Api::*work)(const Call&);
    bool has_body = false;
    bool takes_token = true;

    bool fits(const std::vector<std::string>& path) const {
        return path.size() == parts.size() &&
               std::equal(parts.begin(), parts.end(), path.begin(), [](const auto& one, const auto& other) {
                   return one == other || (one.starts_with('{') && !other.empty());
               });
    }
};

const std::vector<Api::Route>& Api::routes() {
    using enum PageRole;
    static const std::vector<Route> all = {
        {"GET", {"openapi.json"}, {}, &Api::openapi},
        {"POST", {"login"}, {}, &Api::login, true, false},
        {"POST", {"logout"}, kWall, &Api::logout},
        {"GET", {"session"}, kWall, &Api::session},
        {"GET", {"live"}, kWall, &Api::live},
        {"GET", {"alarms"}, kWall, &Api::alarms},
        {"POST", {"alarms", "{alarm}", "acknowledge"}, kReviewer, &Api::acknowledge},
        {"GET", {"shifts"}, kReviewer, &Api::shifts},
        {"GET", {"shifts", "{shift}"}, kReviewer, &Api::shift},
        {"GET", {"calls"}, kReviewer, &Api::calls},
        {"GET", {"calls", "{shift}", "{call}"}, kReviewer, &Api::call},
        {"GET", {"clips", "{clip}", "audio"}, kReviewer, &Api::audio},
        {"GET", {"clips", "{clip}", "spectrogram"}, kReviewer, &Api::spectrogram},
        {"GET", {"clips", "{clip}", "peaks"}, kReviewer, &Api::peaks},
        {"GET", {"reports"}, kManager, &Api::report},
        {"GET", {"station"}, kManager, &Api::station},
        {"GET", {"station", "reload"}, kManager, &Api::reload},
        {"GET", {"station", "checks"}, kManager, &Api::checks},
        {"POST", {"station", "reload"}, kAdministrator, &Api::take_reload},
        {"GET", {"profiles"}, kManager, &Api::profiles},
        {"POST", {"profiles", "use"}, kAdministrator, &Api::use_profile, true},
        {"GET", {"profiles", "compare"}, kManager, &Api::compare_profiles},
        {"GET", {"cases"}, kReviewer, &Api::cases},
        {"POST", {"cases"}, kManager, &Api::open_new_case, true},
        {"GET", {"cases", "{case}"}, kReviewer, &Api::one_case},
        {"POST", {"cases", "{case}", "gather"}, kManager, &Api::gather, true},
        {"POST", {"cases", "{case}", "drop"}, kManager, &Api::drop, true},
        {"POST", {"cases", "{case}", "hold"}, kManager, &Api::hold_clips, true},
        {"POST", {"cases", "{case}", "steps"}, kManager, &Api::step, true},
        {"POST", {"cases", "{case}", "export"}, kManager, &Api::export_of_case, true},
        {"GET", {"exports"}, kManager, &Api::export_list},
        {"GET", {"exports", "{export}"}, kManager, &Api::one_export},
        {"GET", {"exports", "{export}", "file"}, kManager, &Api::export_file},
        {"POST", {"exports", "{export}", "verify"}, kManager, &Api::verify_export},
        {"POST", {"findings"}, kReviewer, &Api::add_findings, true},
        {"GET", {"chart"}, kReviewer, &Api::chart},
        {"GET", {"changes"}, kReviewer, &Api::entries},
        {"POST", {"changes"}, kManager, &Api::enter, true},
        {"POST", {"changes", "{change}", "withdraw"}, kManager, &Api::withdraw},
        {"GET", {"changes", "{change}", "comparison"}, kReviewer, &Api::change_comparison},
        {"GET", {"lots"}, kReviewer, &Api::entries},
        {"POST", {"lots"}, kManager, &Api::enter, true},
        {"POST", {"lots", "end"}, kManager, &Api::end_lot, true},
        {"POST", {"lots", "{lot}", "withdraw"}, kManager, &Api::withdraw},
        {"GET", {"lots", "figures"}, kReviewer, &Api::lots_figures},
        {"GET", {"lots", "{lot}", "figures"}, kReviewer, &Api::lot_figures},
        {"GET", {"notes"}, kReviewer, &Api::entries},
        {"POST", {"notes"}, kManager, &Api::enter, true},
        {"POST", {"notes", "{note}", "withdraw"}, kManager, &Api::withdraw},
        {"GET", {"factors"}, kReviewer, &Api::factors},
        {"GET", {"handaudits"}, kReviewer, &Api::audits},
        {"POST", {"handaudits"}, kReviewer, &Api::begin_audit, true},
        {"GET", {"handaudits", "{audit}"}, kReviewer, &Api::audit},
        {"GET", {"handaudits", "sample"}, kReviewer, &Api::sample}, // of two that fit, the later is meant
        {"POST", {"handaudits", "{audit}", "scores"}, kReviewer, &Api::add_score, true},
        {"POST",
         {"handaudits", "{audit}", "scores", "{score}", "withdraw"},
         kReviewer,
         &Api::take_back_score},
        {"POST", {"handaudits", "{audit}", "finish"}, kReviewer, &Api::finish_audit},
        {"POST", {"handaudits", "{audit}", "withdraw"}, kReviewer, &Api::withdraw_audit},
        {"GET", {"handaudits", "{audit}", "comparison"}, kReviewer, &Api::audit_comparison},
    };
    return all;
}

Api::Api(Parts parts)
    : parts_(std::move(parts)),
      reader_(parts_.out / "records.db"),
      store_(parts_.out / "records.db"),
      exports_(parts_.out, key_file_of(parts_.settings, parts_.out), parts_.clock),
      profile_(profile_in_use(parts_.settings)) {}

bool Api::is_login(const WebRequest& request) {
    return request.path == "/api/v1/login";
}

std::optional<Session> Api::session_of(const WebRequest& request, bool use) {
    const std::string id = session_cookie(request.cookie);
    if (id.empty()) return std::nullopt;
    auto session = parts_.sessions.find(id, use);
    if (!session) return std::nullopt;
    const auto account = parts_.people.find(session->name);
    if (account && account->version == session->account_version) return session;
    parts_.sessions.close(id);
    return std::nullopt;
}

WebAnswer Api::answer(const WebRequest& request) {
    try {
        return answered(request);
    } catch (const Refusal& refusal) {
        return refusal_answer(refusal);
    } catch (const Failure& failure) {
        // What a person entered doesn't fit the records, or the records can't be used.
        const bool person = failure.exit_code() == kExitUsage;
        if (!person && parts_.say) parts_.say(true, std::string("page: ") + failure.what());
        return refusal_answer(
            {person ? 422 : 503, failure.what(), request.path, person ? "mend it" : "try again"});
    } catch (const std::exception& error) {
        if (parts_.say) parts_.say(true, "page: " + request.path + ": " + error.what());
        return refusal_answer(
            {503, "the records can't be used now", request.path, "try again; the daemon's log says more"});
    }
}

WebAnswer Api::answered(const WebRequest& request) {
    if (!request.path.starts_with(kBase))
        throw Refusal{404, "this is not here", request.path, "see /api/v1/openapi.json"};
    const auto path = parts_of(std::string_view(request.path).substr(kBase.size()));
    const std::string method = request.method == "HEAD" ? "GET" : request.method;
    const Route* route = nullptr;
    std::string allowed;
    for (const Route& one : routes()) {
        if (!one.fits(path)) continue;
        if (one.method == method) route = &one;
        allowed += (allowed.empty() ? "" : ", ") + std::string(one.method);
    }
    if (route == nullptr && !allowed.empty())
        throw Refusal{405, "this can't be done here", request.method, "use " + allowed, {{"Allow", allowed}}};
    if (route == nullptr) throw Refusal{404, "this is not here", request.path, "see /api/v1/openapi.json"};
    if (from_elsewhere(request))
        throw Refusal{403, "the request comes from another site", "Origin", "use this page"};

    Call call{request, route->parts.front(), {}, {}, query_of(request.query), {}};
    for (std::size_t i = 0; i < path.size(); ++i) {
        if (route->parts[i].starts_with('{')) call.values.push_back(path[i]);
    }
    if (route->least) {
        call.session = session_of(request);
        if (!call.session) throw Refusal{401, "nobody is logged in", "session", "log in"};
        if (call.session->role < *route->least) {
            throw Refusal{403, "this needs the role " + std::string(name_of(*route->least)), "role",
                          "ask who administers the page"};
        }
        if (method != "GET" && !same_secret(request.token, call.session->token)) {
            throw Refusal{403, "the token is missing or wrong", "X-Quietpass-Token",
                          "send the token that /api/v1/session gives"};
        }
    }
    if (route->has_body) call.body = body_of(request);
    return (this->*route->work)(call);
}

std::optional<Session> Api::may_listen(const WebRequest& request, WebAnswer& refusal) {
    try {
        if (from_elsewhere(request))
            throw Refusal{403, "the request comes from another site", "Origin", "use this page"};
        if (auto session = session_of(request)) return session;
        throw Refusal{401, "nobody is logged in", "session", "log in"};
    } catch (const Refusal& why) {
        refusal = refusal_answer(why);
    } catch (const std::exception& error) {
        refusal = refusal_answer({503, "accounts can't be read", "session", "try again"});
    }
    return std::nullopt;
}

bool Api::still_listens(const std::string& session_id) {
    try {
        const auto session = parts_.sessions.find(session_id, false);
        if (!session) return false;
        const auto account = parts_.people.find(session->name);
        if (!account || account->version != session->account_version) return false;
        if (session->role == PageRole::kWall) parts_.sessions.find(session_id, true);
        return true;
    } catch (const std::exception&) {
        return true; // trouble with the disk ends nobody's session
    }
}

std::vector<AlarmEventRow> Api::alarm_rows(std::int64_t after_event_id) {
    return reader_.read(
        [after_event_id](SQLite::Database& database) { return read_alarm_events(database, after_event_id); });
}

void Api::record(const std::string& who, const char* what, const std::string& subject,
                 const std::string& detail) {
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        add_access(database, {parts_.clock.utc_ns(), who, what, subject, detail});
    });
}

} // namespace quietpass
