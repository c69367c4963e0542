// The routes of logging in and out.
#include <cmath>

#include "daemon/web/api_route.h"
#include "daemon/web/openapi_text.h"
#include "daemon/web/password_hash.h"

namespace quietpass {

namespace {

Json session_json(const Session& session) {
    return {{"name", session.name}, {"role", name_of(session.role)}, {"token", session.token}};
}

std::string cookie(const std::string& id, bool secure, const char* more) {
    return "quietpass_session=" + id + "; Path=/; HttpOnly; SameSite=Strict" + (secure ? "; Secure" : "") +
           more;
}

Refusal too_early(double wait_s) {
    const std::string seconds = std::to_string(static_cast<int>(std::ceil(wait_s)));
    return {429, "too many failures", "login", "wait " + seconds + " s", {{"Retry-After", seconds}}};
}

} // namespace

WebAnswer Api::login(const Call& call) {
    call.only({"name", "password"});
    const std::string name = call.text("name", 64);
    const std::string password = call.text("password", kLongestPassword);
    const std::string& address = call.request.address;
    // Not in the ledger: the failures that led here are, and guessing must not fill the disk.
    if (const double wait_s = parts_.throttle.wait_s(name, address); wait_s > 0.0) throw too_early(wait_s);

    const auto account = parts_.people.find(name);
    const bool right = account && password_matches(account->hash, password);
    if (!account) pretend_to_match(password);
    parts_.metrics.login(right);
    if (!right) {
        const double wait_s = parts_.throttle.failed(name, address);
        std::string detail = account ? "wrong password" : "unknown name";
        if (wait_s > 0.0) detail += "; further tries wait";
        // A name that nobody has may be a password in the wrong field: it is not kept.
        record(account ? name : "", "login_failed", "page", detail + "; from " + address);
        throw Refusal{401, "name or password is wrong", "login", "try again"};
    }
    parts_.throttle.succeeded(name);
    record(name, "login", "page", "as " + std::string(name_of(account->role)) + "; from " + address);
    const Session session = parts_.sessions.open(name, account->role, account->version);
    WebAnswer answer = json_answer(session_json(session));
    answer.headers.emplace_back("Set-Cookie", cookie(session.id, call.request.secure, ""));
    return answer;
}

WebAnswer Api::logout(const Call& call) {
    parts_.sessions.close(call.who().id);
    record(call.who().name, "logout", "page", "from " + call.request.address);
    WebAnswer answer;
    answer.status = 204;
    answer.headers.emplace_back("Set-Cookie", cookie("", call.request.secure, "; Max-Age=0"));
    return answer;
}

WebAnswer Api::session(const Call& call) {
    return json_answer(session_json(call.who()));
}

WebAnswer Api::openapi(const Call&) {
    static const auto text = std::make_shared<const std::string>(kOpenApiText);
    WebAnswer answer;
    answer.type = "application/json";
    answer.body = text;
    return answer;
}

} // namespace quietpass
