#include "daemon/contacts/mqtt/mqtt_source.h"

#include <catch2/catch.hpp>

#include "daemon/contacts/mqtt/contact_payload.h"
#include "tests/contacts/contact_listener.h"
#include "tests/contacts/test_station.h"
#include "tests/servers/mqtt_broker.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

using Kind = ContactEvent::Kind;

constexpr MqttTiming kQuickBroker{0.01, 1.0, 0.01, 0.05};

// A source of two contacts on the topics box/gate and box/stun.
struct Subscribed {
    explicit Subscribed(const MqttBroker& broker, const MqttTiming& timing = kQuickBroker,
                        const std::optional<Login>& login = std::nullopt, const std::string& ca_file = "") {
        const bool tls = !ca_file.empty();
        std::vector<MqttInput> inputs;
        for (const char* const topic : {"box/gate", "box/stun"}) {
            inputs.push_back(
                {inputs.size(), {"127.0.0.1", tls ? broker.tls_port() : broker.port(), tls, topic}});
        }
        source = std::make_unique<MqttSource>(0, inputs, "quietpass-test", login, ca_file, clock, timing);
        source->start(listener);
    }

    std::vector<ContactEdge> edges() {
        source->stop();
        check_order(listener.events());
        return edges_from(listener.events(), station_with({Role::kEntered, Role::kStunned}, 0.0));
    }

    const RealClock clock;
    Listener listener;
    std::unique_ptr<MqttSource> source;
};

} // namespace

TEST_CASE("the words of a contact's topic are read in any case, others are none", "[contacts]") {
    for (const char* const word : {"1", "closed", "CLOSED", " On\n", "true"}) {
        INFO(word);
        CHECK(contact_word_from(word) == ContactWord::kClosed);
    }
    for (const char* const word : {"0", "open", "off", "False"}) {
        INFO(word);
        CHECK(contact_word_from(word) == ContactWord::kOpen);
    }
    for (const char* const word : {"unknown", "offline", "Unavailable"}) {
        INFO(word);
        CHECK(contact_word_from(word) == ContactWord::kUnknown);
    }
    for (const char* const word :
         {"", " ", "2", "clos", "closed.", "{\"state\":1}", "a very long word indeed"}) {
        INFO(word);
        CHECK_FALSE(contact_word_from(word));
    }
}

TEST_CASE("retained messages tell the levels at the start, later ones the changes", "[contacts]") {
    MqttBroker broker;
    broker.publish("box/gate", "closed");
    broker.publish("box/stun", "open");
    Subscribed wired(broker);
    CHECK(wired.source->name() == "mqtt://127.0.0.1:" + std::to_string(broker.port()));
    wired.listener.await_level(0, true);
    wired.listener.await(Kind::kKnown);
    const std::size_t from = wired.listener.count();
    const std::int64_t before_ns = wired.clock.monotonic_ns();
    broker.publish("box/stun", "1");
    const ContactEvent change = wired.listener.await_level(1, true, from);
    CHECK_FALSE(change.after_loss);
    CHECK(change.at_ns >= before_ns);
    wired.listener.await(Kind::kKnown, wired.listener.count());
    CHECK(wired.edges().size() == 2);
}

TEST_CASE("a broker that is killed and started again invents no edge; levels are known when messages come",
          "[contacts]") {
    MqttBroker broker;
    broker.publish("box/gate", "closed");
    broker.publish("box/stun", "open");
    Subscribed wired(broker, {0.01, 0.3, 0.01, 0.05});
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    broker.kill();
    CHECK_FALSE(wired.listener.await(Kind::kLost, from).why.empty());
    broker.start();
    // It has forgotten what was retained.
    wired.listener.await([](const ContactEvent& event) {
        return event.why == "no state of topic box/gate came; is it retained?";
    });
    from = wired.listener.count();
    const std::int64_t before_ns = wired.clock.monotonic_ns();
    broker.publish("box/stun", "open");
    broker.publish("box/gate", "closed");
    const ContactEvent back = wired.listener.await_level(0, true, from);
    CHECK(back.after_loss);
    CHECK(back.at_ns >= before_ns);
    wired.listener.await(Kind::kKnown, from);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a broker that keeps what is retained brings the levels back by itself, within its back-off",
          "[contacts]") {
    MqttBroker broker;
    broker.publish("box/gate", "closed");
    broker.publish("box/stun", "open");
    Subscribed wired(broker);
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    broker.stop();
    wired.listener.await(Kind::kLost, from);
    broker.start();
    const std::int64_t started_ns = wired.clock.monotonic_ns();
    from = wired.listener.count();
    const ContactEvent back = wired.listener.await(Kind::kKnown, from);
    // The back-off is 0.05 s at most; the rest is for a busy machine.
    CHECK(back.at_ns - started_ns < 3'000'000'000);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a broker that goes dark without a word is lost, and found again", "[contacts]") {
    MqttBroker broker;
    broker.publish("box/gate", "closed");
    broker.publish("box/stun", "open");
    Subscribed wired(broker, {0.01, 0.2, 0.01, 0.05});
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    broker.freeze(true);
    const ContactEvent lost = wired.listener.await(Kind::kLost, from);
    CHECK(lost.why == "the broker did not answer for 0.2 s");
    // Known up to the last answer, not up to when the silence was noticed.
    CHECK(lost.at_ns - lost.from_ns >= 150'000'000);
    broker.freeze(false);
    from = wired.listener.count();
    CHECK(wired.listener.await_level(0, true, from).after_loss);
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a device that is offline, or says what is no state, makes its contact lost until it says one",
          "[contacts]") {
    MqttBroker broker;
    broker.publish("box/gate", "closed");
    broker.publish("box/stun", "open");
    Subscribed wired(broker);
    wired.listener.await(Kind::kKnown);
    for (const auto& [word, why] :
         {std::pair{"offline", "topic box/gate says 'offline'"},
          std::pair{"ajar", "topic box/gate says 'ajar', which is none of the words of a contact"}}) {
        std::size_t from = wired.listener.count();
        broker.publish("box/gate", word);
        CHECK(wired.listener.await(Kind::kLost, from).why == why);
        from = wired.listener.count();
        broker.publish("box/gate", "closed");
        CHECK(wired.listener.await_level(0, true, from).after_loss);
        wired.listener.await(Kind::kKnown, from);
    }
    CHECK(wired.edges().size() == 1);
}

TEST_CASE("a broker that wants a password is given it, and says so when it is wrong", "[contacts]") {
    MqttBroker broker({MqttBroker::Person{"box", "secret"}, {}});
    broker.publish("box/gate", "open");
    broker.publish("box/stun", "open");
    Subscribed right(broker, kQuickBroker, Login{"box", "secret"});
    right.listener.await(Kind::kKnown);
    right.source->stop();
    Subscribed wrong(broker, kQuickBroker, Login{"box", "guessed"});
    CHECK(wrong.listener.await(Kind::kLost).why == "Connection Refused: not authorised.");
}

TEST_CASE("over TLS a broker is listened to as in the clear, killed and started again too", "[contacts]") {
    const TestFolder folder;
    const TlsIdentity identity = make_tls_identity(folder / "tls", "127.0.0.1");
    MqttBroker broker({{}, MqttBroker::Tls{identity, MqttBroker::Person{"box", "secret"}}});
    broker.publish("box/gate", "closed");
    broker.publish("box/stun", "open");
    Subscribed wired(broker, kQuickBroker, Login{"box", "secret"}, identity.authority);
    CHECK(wired.source->name() == "mqtts://127.0.0.1:" + std::to_string(broker.tls_port()));
    wired.listener.await_level(0, true);
    wired.listener.await(Kind::kKnown);
    std::size_t from = wired.listener.count();
    broker.publish("box/stun", "closed");
    wired.listener.await_level(1, true, from);
    from = wired.listener.count();
    broker.stop();
    wired.listener.await(Kind::kLost, from);
    from = wired.listener.count();
    broker.start();
    CHECK(wired.listener.await_level(0, true, from).after_loss);
    wired.listener.await(Kind::kKnown, wired.listener.count());
    CHECK(wired.edges().size() == 2);
}

TEST_CASE("a broker over TLS that nobody vouches for, or that has another name, is not listened to",
          "[contacts]") {
    const TestFolder folder;
    const TlsIdentity other = make_tls_identity(folder / "other", "127.0.0.1");
    const auto why_lost = [&](const TlsIdentity& identity, const std::string& ca_file) {
        MqttBroker broker({{}, MqttBroker::Tls{identity, {}}});
        broker.publish("box/gate", "closed");
        broker.publish("box/stun", "open");
        Subscribed wired(broker, kQuickBroker, {}, ca_file);
        const std::string why = wired.listener.await(Kind::kLost).why;
        CHECK(wired.edges().empty());
        return why;
    };
    const TlsIdentity mine = make_tls_identity(folder / "mine", "127.0.0.1");
    CHECK(why_lost(mine, other.authority) == "A TLS error occurred.");
    const TlsIdentity misnamed = make_tls_identity(folder / "misnamed", "127.0.0.9");
    CHECK(why_lost(misnamed, misnamed.authority) == "A TLS error occurred.");
    CHECK_FALSE(why_lost(mine, folder.path("nothing.pem")).empty());
}

TEST_CASE("without a broker all is lost, and stop does not wait for one", "[contacts]") {
    MqttBroker broker;
    broker.kill();
    Subscribed wired(broker, {0.01, 0.5, 5.0, 5.0});
    CHECK(wired.listener.await(Kind::kLost).why == "Connection refused");
    const auto begun = std::chrono::steady_clock::now();
    wired.source->stop();
    CHECK(std::chrono::steady_clock::now() - begun < std::chrono::seconds(2));
}
