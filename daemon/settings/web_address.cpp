#include "daemon/settings/web_address.h"

#include <curl/curl.h>

#include <cstdlib>
#include <memory>

namespace quietpass {

namespace {

struct FreeUrl {
    void operator()(CURLU* url) const { curl_url_cleanup(url); }
};

std::optional<std::string> part_of(CURLU* url, CURLUPart part) {
    char* text = nullptr;
    if (curl_url_get(url, part, &text, 0) != CURLUE_OK || text == nullptr) return std::nullopt;
    std::string result = text;
    curl_free(text);
    return result;
}

} // namespace

std::string WebAddress::place() const {
    return scheme + "://" + host + (port > 0 ? ":" + std::to_string(port) : "");
}

std::optional<WebAddress> web_address_from(const std::string& url) {
    // libcurl would take a missing scheme for http.
    if (url.find("://") == std::string::npos) return std::nullopt;
    const std::unique_ptr<CURLU, FreeUrl> parsed(curl_url());
    if (!parsed ||
        curl_url_set(parsed.get(), CURLUPART_URL, url.c_str(), CURLU_NON_SUPPORT_SCHEME) != CURLUE_OK) {
        return std::nullopt;
    }
    const auto scheme = part_of(parsed.get(), CURLUPART_SCHEME);
    const auto host = part_of(parsed.get(), CURLUPART_HOST);
    if (!scheme || !host || host->empty()) return std::nullopt;
    WebAddress address;
    address.scheme = *scheme;
    address.host = *host;
    // curl takes no port that is no number to 65535. NOLINTNEXTLINE(cert-err34-c)
    if (const auto port = part_of(parsed.get(), CURLUPART_PORT)) address.port = std::atoi(port->c_str());
    address.path = part_of(parsed.get(), CURLUPART_PATH).value_or("/");
    address.has_user = part_of(parsed.get(), CURLUPART_USER) || part_of(parsed.get(), CURLUPART_PASSWORD);
    return address;
}

} // namespace quietpass
