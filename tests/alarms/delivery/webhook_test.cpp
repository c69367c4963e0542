#include <openssl/evp.h>
#include <openssl/hmac.h>

#include <catch2/catch.hpp>
#include <cstdio>
#include <nlohmann/json.hpp>
#include <string>

#include "daemon/alarms/delivery/webhook_signature.h"
#include "tests/alarms/delivery/delivery_rig.h"
#include "tests/alarms/delivery/http_receiver.h"
#include "tests/alarms/delivery/sample_message.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

// By another library than the one under test.
std::string hmac_by_openssl(const std::string& key, const std::string& bytes) {
    unsigned char code[EVP_MAX_MD_SIZE];
    unsigned size = 0;
    HMAC(EVP_sha256(), key.data(), static_cast<int>(key.size()),
         reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(), code, &size);
    std::string hex;
    for (unsigned i = 0; i < size; ++i) {
        char digits[3];
        std::snprintf(digits, sizeof digits, "%02x", code[i]);
        hex += digits;
    }
    return hex;
}

} // namespace

TEST_CASE("a signature is the HMAC-SHA256 of time, full stop and body", "[delivery]") {
    for (const std::string& key : {std::string("k"), kSigningKey, std::string(200, 'x')}) {
        CHECK(webhook_signature(key, 1772456400, "{\"a\":1}") ==
              hmac_by_openssl(key, "1772456400.{\"a\":1}"));
    }
}

TEST_CASE("a webhook's body is the message, and its signature proves body and time", "[delivery]") {
    DeliveryRig rig;
    const TlsIdentity identity = make_tls_identity(rig.folder / "tls", "127.0.0.1");
    HttpReceiver receiver(identity);
    rig.start(rig.webhook("web", receiver.url("/hook?token=hush"), 20.0, identity.authority));
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(receiver.await_acknowledged(1));
    REQUIRE(rig.await_all_done());

    const HttpRequest request = receiver.requests().at(0);
    CHECK(request.first_line == "POST /hook?token=hush HTTP/1.1");
    CHECK(request.headers.at("content-type") == "application/json");
    CHECK(request.id() == "m-1");
    const std::string time = request.headers.at("quietpass-time");
    CHECK(std::abs(std::stoll(time) - rig.clock.utc_ns() / 1'000'000'000) < 120);
    CHECK(request.headers.at("quietpass-signature") ==
          "v1=" + hmac_by_openssl(kSigningKey, time + "." + request.body));
    const auto json = nlohmann::json::parse(request.body);
    CHECK(json["id"] == "m-1");
    CHECK(json["at"] == "2026-03-02T13:00:00.250Z");
    CHECK(json["count"] == 2);
    CHECK(json["facts"]["passage"] == "17");
    // Addresses of receivers hold secrets as well.
    CHECK(rig.log().find("hush") == std::string::npos);
    CHECK(rig.log().find(kSigningKey) == std::string::npos);
}

TEST_CASE("a server whose certificate is by nobody known, or of another name, gets no message",
          "[delivery]") {
    DeliveryRig rig;
    const TlsIdentity mine = make_tls_identity(rig.folder / "mine", "127.0.0.1");
    const TlsIdentity other = make_tls_identity(rig.folder / "other", "127.0.0.1");
    const TlsIdentity misnamed = make_tls_identity(rig.folder / "misnamed", "127.0.0.9");
    HttpReceiver strange(other);
    HttpReceiver wrong_name(misnamed);
    rig.start(rig.webhook("system", strange.url()), rig.webhook("mine", strange.url(), 20.0, mine.authority),
              rig.webhook("name", wrong_name.url(), 20.0, misnamed.authority));
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(await([&] {
        for (const ChannelState& state : rig.delivery->states()) {
            if (state.error.find("SSL") == std::string::npos) return false;
        }
        return true;
    }));
    CHECK(rig.waiting() == 3);
    CHECK(strange.requests().empty());
    CHECK(wrong_name.requests().empty());
}

TEST_CASE("whatever but a 2xx is tried again with the same id, and the first 2xx ends it", "[delivery]") {
    DeliveryRig rig;
    HttpReceiver receiver;
    receiver.answer(500);
    rig.start(rig.webhook("web", receiver.url()));
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(receiver.await_requests(2));
    receiver.answer(302);
    REQUIRE(receiver.await_requests(receiver.requests().size() + 2));
    receiver.answer(404);
    REQUIRE(receiver.await_requests(receiver.requests().size() + 2));
    CHECK(rig.waiting() == 1);
    receiver.answer(204);
    REQUIRE(receiver.await_acknowledged(1));
    REQUIRE(rig.await_all_done());
    rig.delivery->put(sample_message("m-2"));
    REQUIRE(receiver.await_acknowledged(2));
    CHECK(receiver.acknowledged() == std::map<std::string, int>{{"m-1", 1}, {"m-2", 1}});
    CHECK(rig.log().find("answered HTTP 500") != std::string::npos);
    CHECK(rig.log().find("alarms reach web again") != std::string::npos);
}

TEST_CASE("a message that the receiver refuses keeps none of the others", "[delivery]") {
    DeliveryRig rig;
    HttpReceiver receiver;
    receiver.answer(400);
    rig.start(rig.webhook("web", receiver.url()));
    rig.delivery->put(sample_message("bad"));
    REQUIRE(receiver.await_requests(1));
    receiver.answer(200);
    rig.delivery->put(sample_message("good"));
    REQUIRE(receiver.await_acknowledged(2));
    CHECK(receiver.acknowledged() == std::map<std::string, int>{{"bad", 1}, {"good", 1}});
}

TEST_CASE("a receiver that hangs is left after the time for a try, and its own messages only wait",
          "[delivery]") {
    DeliveryRig rig;
    HttpReceiver receiver;
    receiver.be(HttpReceiver::Mood::kHang);
    rig.start(rig.webhook("web", receiver.url(), 0.2));
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(receiver.await_requests(2));
    receiver.be(HttpReceiver::Mood::kAnswer);
    REQUIRE(receiver.await_acknowledged(1));
    REQUIRE(rig.await_all_done());
    CHECK(receiver.acknowledged() == std::map<std::string, int>{{"m-1", 1}});
}

TEST_CASE("a receiver that dies after the body gets the message again, and one that acknowledged never",
          "[delivery]") {
    DeliveryRig rig;
    HttpReceiver receiver;
    rig.start(rig.webhook("web", receiver.url()));
    for (const auto mood : {HttpReceiver::Mood::kDieUnanswered, HttpReceiver::Mood::kDieHalfAnswered}) {
        const std::string id = "m-" + std::to_string(static_cast<int>(mood));
        const std::size_t before = receiver.requests().size();
        receiver.be(mood);
        rig.delivery->put(sample_message(id));
        REQUIRE(receiver.await_requests(before + 1));
        receiver.start();
        REQUIRE(receiver.await_acknowledged(receiver.acknowledged().size() + 1));
        REQUIRE(rig.await_all_done());
        CHECK(receiver.requests().size() == before + 2);
        CHECK(receiver.requests()[before].id() == id);
        CHECK(receiver.acknowledged().at(id) == 1);
    }
}
