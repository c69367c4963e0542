// A URL in its parts, by libcurl's own parser. Pure.
#pragma once

#include <optional>
#include <string>

namespace quietpass {

struct WebAddress {
    std::string scheme; // lower case
    std::string host;   // IPv6 addresses in brackets
    int port = 0;       // 0: not given
    std::string path;   // with the leading slash
    bool has_user = false;

    // scheme://host:port, which may be told in a log: paths and queries can hold secrets.
    std::string place() const;
};

// Nothing for what isn't a URL with a host.
std::optional<WebAddress> web_address_from(const std::string& url);

} // namespace quietpass
