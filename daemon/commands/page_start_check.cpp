#include "daemon/commands/page_start_check.h"

#include <netdb.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <memory>

#include "daemon/web/page_access.h"
#include "daemon/web/people.h"

namespace quietpass {

namespace {

// The system's word for why the page can't be served there; empty: it can.
std::string trouble_of_port(const std::string& address, int port) {
    addrinfo hints{};
    hints.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE;
    hints.ai_socktype = SOCK_STREAM;
    addrinfo* found = nullptr;
    if (getaddrinfo(address.c_str(), std::to_string(port).c_str(), &hints, &found) != 0)
        return "is no address of the form 192.0.2.10";
    const std::unique_ptr<addrinfo, decltype(&freeaddrinfo)> there(found, &freeaddrinfo);
    const int handle = socket(there->ai_family, there->ai_socktype | SOCK_CLOEXEC, there->ai_protocol);
    if (handle < 0) return std::strerror(errno);
    const int on = 1;
    setsockopt(handle, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    const bool bound = bind(handle, there->ai_addr, there->ai_addrlen) == 0 && listen(handle, 1) == 0;
    const int error = errno;
    close(handle);
    if (bound) return "";
    if (error == EADDRINUSE) return "is taken by another program";
    if (error == EADDRNOTAVAIL) return "is no address of this computer";
    return std::strerror(error);
}

bool anybody_in(const std::filesystem::path& out) {
    std::error_code ignored;
    return std::filesystem::exists(out / "users.db", ignored) && !People(out).all().empty();
}

} // namespace

CheckLines check_page_start(const PageSettings& page, const std::filesystem::path& out) {
    if (!page.on) return {{CheckState::kLook, "page", "not served", "[page] in the station file serves it"}};
    try {
        const PageRefusal refusal = page_refusal(page, anybody_in(out), out);
        if (!refusal.why.empty()) return {{CheckState::kBad, "page", refusal.why, refusal.to_do}};
    } catch (const std::exception& wrong) {
        return {{CheckState::kBad, "page", wrong.what(), "look at that file"}};
    }
    const std::string at = page.address + ", port " + std::to_string(page.port);
    const std::string trouble = trouble_of_port(page.address, page.port);
    if (trouble.empty()) return {{CheckState::kGood, "page", "will be served at " + at, ""}};
    return {{CheckState::kBad, "page", at + ": " + trouble, "give [page] another address or port"}};
}

} // namespace quietpass
