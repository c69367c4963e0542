#include "daemon/settings/page_table.h"

#include <arpa/inet.h>

#include <filesystem>

namespace quietpass {

namespace {

constexpr NumberRange kPageSeconds{0.1, 3600.0, "a number of seconds"};

int whole(StrictTable& table, const char* key, const NumberRange& range, int fallback) {
    const double value = table.number_or(key, range, fallback);
    const int rounded = static_cast<int>(value);
    if (value != rounded) table.fail(key, "expected a whole number");
    return rounded;
}

bool is_address(const std::string& text) {
    in6_addr any{};
    return inet_pton(AF_INET, text.c_str(), &any) == 1 || inet_pton(AF_INET6, text.c_str(), &any) == 1;
}

} // namespace

bool is_loopback(const std::string& address) {
    return address == "::1" || address.starts_with("127.") || address.starts_with("::ffff:127.");
}

void read_page(StrictTable& table, const std::string& folder, PageSettings& page) {
    page.on = true;
    page.address = table.text_or("address", "an IP address of this machine", page.address);
    if (!is_address(page.address)) {
        table.fail("address",
                   "expected an IP address, as \"127.0.0.1\" or \"0.0.0.0\", found \"" + page.address + "\"");
    }
    page.port = whole(table, "port", {0.0, 65535.0, "a port"}, page.port);
    const auto path = [&](const char* key, const char* expected) {
        const std::string text = table.text_or(key, expected, "");
        return text.empty() ? text : (std::filesystem::path(folder) / text).lexically_normal().string();
    };
    page.certificate = path("certificate", "the path of a certificate (PEM)");
    page.key = path("key", "the path of the certificate's key (PEM)");
    if (page.certificate.empty() != page.key.empty()) {
        table.fail(page.key.empty() ? "certificate" : "key", "expected certificate and key both, or neither");
    }
    const bool needs_tls = !is_loopback(page.address) || !page.certificate.empty();
    page.tls = table.flag_or("tls", needs_tls);
    if (needs_tls && !page.tls) {
        table.fail("tls", "expected true: without TLS the page is for this machine only (address 127.0.0.1)");
    }
    page.files = path("files", "the path of a folder");
    page.metrics_to_all = table.word_or("metrics_to", {"loopback", "all"}, 0) == 1;
    page.connections =
        whole(table, "connections", {1.0, 10000.0, "a number of connections"}, page.connections);
    page.connections_per_address =
        whole(table, "connections_per_address", {1.0, 10000.0, "a number of connections"},
              page.connections_per_address);
    page.header_s = table.number_or("header_s", kPageSeconds, page.header_s);
    page.body_s = table.number_or("body_s", kPageSeconds, page.body_s);
    page.idle_s = table.number_or("idle_s", kPageSeconds, page.idle_s);
    page.write_s = table.number_or("write_s", kPageSeconds, page.write_s);
    page.live_queue_kb =
        whole(table, "live_queue_kb", {64.0, 65536.0, "a number of kilobytes"}, page.live_queue_kb);
    page.session_idle_minutes = table.number_or("session_idle_minutes", {1.0, 1440.0, "a number of minutes"},
                                                page.session_idle_minutes);
    page.session_hours =
        table.number_or("session_hours", {0.1, 720.0, "a number of hours"}, page.session_hours);
    table.finish();
}

} // namespace quietpass
