#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "daemon/alarms/delivery/mqtt_channel.h"
#include "tests/alarms/delivery/delivery_rig.h"
#include "tests/alarms/delivery/gated_broker.h"
#include "tests/alarms/delivery/http_receiver.h"
#include "tests/alarms/delivery/sample_message.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

MqttSettings settings_for(int port) {
    MqttSettings settings;
    settings.url = "mqtt://127.0.0.1:" + std::to_string(port);
    settings.host = "127.0.0.1";
    settings.port = port;
    settings.topic = "quietpass/box-2/alarms";
    settings.client_id = "quietpass-box-2-broker";
    return settings;
}

DeliveryPlan lane(int port, double within_s = 20.0) {
    return quick_plan("broker", std::make_unique<MqttChannel>(settings_for(port), std::nullopt, within_s));
}

std::map<std::string, int> ids_of(const GatedBroker& broker) {
    std::map<std::string, int> ids;
    for (const std::string& payload : broker.payloads()) {
        ++ids[nlohmann::json::parse(payload)["id"].get<std::string>()];
    }
    return ids;
}

} // namespace

TEST_CASE("an MQTT message is published at quality of service 1 under the fixed client id", "[delivery]") {
    DeliveryRig rig;
    GatedBroker broker;
    rig.start(lane(broker.port()));
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(broker.await_payloads(1));
    REQUIRE(rig.await_all_done());
    CHECK(ids_of(broker) == std::map<std::string, int>{{"m-1", 1}});
    CHECK(broker.log().find("Received PUBLISH from quietpass-box-2-broker (d0, q1, r0") != std::string::npos);
}

TEST_CASE("a broker killed between messages loses none, and gets none twice that it acknowledged",
          "[delivery]") {
    DeliveryRig rig;
    GatedBroker broker;
    rig.start(lane(broker.port()));
    std::map<std::string, int> expected;
    for (int round = 0; round < 5; ++round) {
        const std::string up = "up-" + std::to_string(round);
        rig.delivery->put(sample_message(up));
        REQUIRE(rig.await_all_done());
        // A broker keeps no memory of what it had not forwarded when it was killed.
        REQUIRE(broker.await_payloads(2 * static_cast<std::size_t>(round) + 1));
        broker.kill();
        const std::string down = "down-" + std::to_string(round);
        rig.delivery->put(sample_message(down));
        REQUIRE(await([&] { return !rig.delivery->states()[0].error.empty(); }));
        broker.start();
        REQUIRE(rig.await_all_done());
        REQUIRE(broker.await_payloads(2 * static_cast<std::size_t>(round) + 2));
        ++expected[up];
        ++expected[down];
    }
    CHECK(ids_of(broker) == expected);
}

TEST_CASE("without the broker's PUBACK a message is not delivered, and comes again with its id",
          "[delivery]") {
    DeliveryRig rig;
    GatedBroker broker;
    rig.start(lane(broker.port(), 0.5));
    rig.delivery->put(sample_message("m-0"));
    REQUIRE(rig.await_all_done());
    broker.swallow_answers(true);
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(broker.await_payloads(2));
    REQUIRE(await([&] { return !rig.delivery->states()[0].error.empty(); }));
    CHECK(rig.waiting() == 1);
    broker.swallow_answers(false);
    REQUIRE(rig.await_all_done());
    REQUIRE(broker.await_payloads(3));
    CHECK(ids_of(broker).at("m-0") == 1);
    CHECK(ids_of(broker).at("m-1") >= 2);
}

TEST_CASE("a broker that takes connections and says nothing is left after the time for a try", "[delivery]") {
    DeliveryRig rig;
    // Anything that listens and doesn't speak MQTT.
    HttpReceiver mute;
    rig.start(lane(mute.port(), 0.3));
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(await([&] { return rig.delivery->states()[0].error == "no answer in time"; }));
    // Stopping in the middle of a try takes no longer than its grace.
    const auto begun = std::chrono::steady_clock::now();
    rig.stop();
    CHECK(std::chrono::steady_clock::now() - begun < std::chrono::seconds(5));
}

TEST_CASE("a host that answers no connection at all is left after the time for a try", "[delivery]") {
    // Once its queue is full, a listener that accepts nothing lets no more connections come about.
    const int listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    REQUIRE(bind(listener, reinterpret_cast<sockaddr*>(&address), size) == 0);
    REQUIRE(listen(listener, 0) == 0);
    getsockname(listener, reinterpret_cast<sockaddr*>(&address), &size);
    std::vector<int> fillers;
    for (int i = 0; i < 4; ++i) {
        fillers.push_back(socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0));
        connect(fillers.back(), reinterpret_cast<sockaddr*>(&address), size);
    }
    {
        DeliveryRig rig;
        rig.start(lane(ntohs(address.sin_port), 0.3));
        rig.delivery->put(sample_message("m-1"));
        CHECK(await([&] { return rig.delivery->states()[0].error == "no answer in time"; }));
    }
    for (const int filler : fillers) close(filler);
    close(listener);
}

TEST_CASE("over TLS a broker of the right authority gets login and message, and another gets neither",
          "[delivery]") {
    const TestFolder folder;
    const TlsIdentity identity = make_tls_identity(folder / "tls", "127.0.0.1");
    const TlsIdentity other = make_tls_identity(folder / "other", "127.0.0.1");
    GatedBroker broker({{}, MqttBroker::Tls{identity, MqttBroker::Person{"stockman", "hush"}}});
    MqttSettings settings = settings_for(broker.tls_port());
    settings.tls = true;
    settings.ca_file = identity.authority;
    const std::atomic<bool> stop{false};
    MqttChannel right(settings, Login{"stockman", "hush"}, 20.0);
    CHECK(right.hand_over(sample_message("m-1"), stop).result == HandOver::Result::kDone);
    CHECK(broker.await_payloads(1));
    MqttChannel stranger(settings, Login{"stockman", "wrong"}, 20.0);
    CHECK(stranger.hand_over(sample_message("m-2"), stop).what == "Connection Refused: not authorised.");
    settings.ca_file = other.authority;
    MqttChannel misled(settings, Login{"stockman", "hush"}, 20.0);
    CHECK(misled.hand_over(sample_message("m-3"), stop).result == HandOver::Result::kUnreachable);
    settings.ca_file.clear();
    MqttChannel system(settings, Login{"stockman", "hush"}, 20.0);
    CHECK(system.hand_over(sample_message("m-4"), stop).result == HandOver::Result::kUnreachable);
    CHECK(broker.payloads().size() == 1);
}

TEST_CASE("a test goes out under another client id, so the daemon's connection stays", "[delivery]") {
    DeliveryRig rig;
    GatedBroker broker;
    MqttChannel channel(settings_for(broker.own_port()), std::nullopt, 20.0);
    const std::atomic<bool> stop{false};
    REQUIRE(channel.hand_over(sample_message("m-1"), stop).result == HandOver::Result::kDone);
    CHECK(channel.test(sample_message("m-2", "test"), stop).result == HandOver::Result::kDone);
    CHECK(channel.hand_over(sample_message("m-3"), stop).result == HandOver::Result::kDone);
    CHECK(broker.log().find("already connected") == std::string::npos);
    CHECK(broker.log().find("quietpass-box-2-broker-test") != std::string::npos);
    CHECK(broker.await_payloads(3));
}
