// A real MQTT broker (mosquitto) on loopback, and a device that publishes to it.
//
// The broker is a process of its own, killed when this is destroyed; its port stays the same when it is
// started again. One thread uses it.
#pragma once

#include <sys/types.h>
#include <string>

#include "tests/test_folder.h"

struct mosquitto;

namespace quietpass {

class MqttBroker {
  public:
    // with_password: only user `box` with password `secret` may connect. Starts it and waits until it takes
    // connections. Throws Failure(1) when there is none to be had.
    explicit MqttBroker(bool with_password = false);
    ~MqttBroker();
    MqttBroker(const MqttBroker&) = delete;
    MqttBroker& operator=(const MqttBroker&) = delete;

    int port() const { return port_; }

    void start();
    // At once, retained messages lost.
    void kill();
    // In order: retained messages are there again after the next start().
    void stop();
    // Connections are taken and nothing is answered.
    void freeze(bool on);

    // One message, and it has arrived when this returns.
    void publish(const std::string& topic, const std::string& payload, bool retained = true);

  private:
    void end(int signal);

    TestFolder folder_;
    bool with_password_;
    int port_ = 0;
    pid_t process_ = -1;
};

} // namespace quietpass
