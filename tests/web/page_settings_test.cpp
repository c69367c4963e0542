// [page] of the station file.

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/settings/page_table.h"

using namespace quietpass;

namespace {

PageSettings read(const std::string& text) {
    const toml::table root = toml::parse(text);
    StrictTable table(root, "s.toml", "page");
    PageSettings page;
    read_page(table, "/plant", page);
    return page;
}

std::string failure_of(const std::string& text) {
    try {
        read(text);
    } catch (const Failure& failure) {
        return failure.what();
    }
    return "";
}

} // namespace

TEST_CASE("An empty [page] serves this machine only, without TLS") {
    const PageSettings page = read("");
    CHECK(page.on);
    CHECK(page.address == "127.0.0.1");
    CHECK(page.port == 8730);
    CHECK_FALSE(page.tls);
}

TEST_CASE("Another address, or a certificate, means TLS; paths start at the station file") {
    CHECK(read("address = \"0.0.0.0\"").tls);
    CHECK(read("address = \"::1\"").tls == false);
    const PageSettings page = read("certificate = \"a.pem\"\nkey = \"/k.pem\"");
    CHECK(page.tls);
    CHECK(page.certificate == "/plant/a.pem");
    CHECK(page.key == "/k.pem");
}

TEST_CASE("What [page] can't be is told in one line") {
    CHECK(failure_of("address = \"box-1\"").find("expected an IP address") != std::string::npos);
    CHECK(failure_of("address = \"0.0.0.0\"\ntls = false").find("page.tls") != std::string::npos);
    CHECK(failure_of("certificate = \"a.pem\"").find("page.certificate") != std::string::npos);
    CHECK(failure_of("port = 70000").find("page.port") != std::string::npos);
    CHECK(failure_of("port = 1.5").find("whole number") != std::string::npos);
    CHECK(failure_of("ports = 1").find("ports") != std::string::npos);
}
