// A real MQTT broker (mosquitto) on loopback, and a device that publishes to it. Tests only.
//
// The broker is a process of its own, killed when this is destroyed; its ports stay the same when it is
// started again. One thread uses it.
#pragma once

#include <sys/types.h>

#include <optional>
#include <string>

#include "tests/servers/tls_identity.h"
#include "tests/test_folder.h"

namespace quietpass::test {

class MqttBroker {
  public:
    struct Person {
        std::string user;
        std::string password;
    };
    struct Tls {
        TlsIdentity identity;
        std::optional<Person> only; // nothing: anybody
    };
    struct Doors {
        std::optional<Person> only; // at the plain door; nothing: anybody
        std::optional<Tls> tls;     // a second door
    };

    // Starts it and waits until it takes connections. Throws std::runtime_error when there is none to be had.
    explicit MqttBroker(Doors doors);
    MqttBroker() : MqttBroker(Doors{}) {}
    ~MqttBroker();
    MqttBroker(const MqttBroker&) = delete;
    MqttBroker& operator=(const MqttBroker&) = delete;

    int port() const { return port_; }
    int tls_port() const { return tls_port_; }

    void start();
    // At once, retained messages lost.
    void kill();
    // In order: retained messages are there again after the next start().
    void stop();
    // Connections are taken and nothing is answered.
    void freeze(bool on);
    std::string log() const; // the broker's own, of this start

    // One message by the plain door, and it has arrived when this returns.
    void publish(const std::string& topic, const std::string& payload, bool retained = true);

  private:
    std::string who_may(const std::optional<Person>& only, const std::string& name);
    void end(int signal);

    TestFolder folder_;
    Doors doors_;
    int port_ = 0;
    int tls_port_ = 0;
    pid_t process_ = -1;
};

} // namespace quietpass::test
