// A broker that is killed and started as a test wishes, and a listener that keeps what it forwards. Publishers come in by a gate, which the test opens when the listener
// is there: so what the broker acknowledges is always forwarded to it. Tests only.
#pragma once

#include <atomic>
#include <condition_variable>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "tests/alarms/delivery/mqtt_packets.h"
#include "tests/servers/mqtt_broker.h"

struct mosquitto;

namespace quietpass::test {

class GatedBroker {
  public:
    explicit GatedBroker(MqttBroker::Doors doors);
    GatedBroker() : GatedBroker(MqttBroker::Doors{}) {}
    ~GatedBroker();
    GatedBroker(const GatedBroker&) = delete;
    GatedBroker& operator=(const GatedBroker&) = delete;

    void kill();
    // Returns when the listener has subscribed to all topics and the gate is open.
    void start();
    // The gate takes what publishers send to the broker, and keeps the broker's answers from them.
    void swallow_answers(bool on) { swallow_.store(on); }

    int port() const { return gate_port_; }            // for publishers
    int own_port() const { return broker_.port(); }    // past the gate
    int tls_port() const { return broker_.tls_port(); } // past it too

    // What the broker forwarded. One that is killed can have acknowledged more.
    std::vector<std::string> payloads() const;
    bool await_payloads(std::size_t count) const; // false after a minute
    // Of all that went through the gate: how often the broker acknowledged each payload to its publisher, and
    // how often a payload came that it had acknowledged before.
    std::map<std::string, int> acknowledged() const;
    int repeats() const;
    std::string log() const { return broker_.log(); }

  private:
    void gate();
    void subscribe();
    void drop_listener();

    MqttBroker broker_;
    int gate_listener_ = -1;
    int gate_port_ = 0;
    std::atomic<bool> open_{false};
    std::atomic<bool> swallow_{false};
    std::atomic<bool> stopping_{false};
    mutable std::mutex mutex_;
    mutable std::condition_variable came_;
    std::vector<std::string> payloads_;       // under mutex_
    std::map<std::string, int> acknowledged_; // under mutex_
    int repeats_ = 0;                         // under mutex_
    bool subscribed_ = false;                 // under mutex_
    mosquitto* listener_ = nullptr;
    std::thread gate_thread_;
};

} // namespace quietpass::test
