// The connection to an MQTT broker (3.1.1), by libmosquitto: topics in, and a way to ask whether the broker
// still answers.
//
// A connection that goes dead without a word shows only by what does not come, and MQTT's own keep-alive
// takes 5 s at least to see it. So the broker is asked something that it must answer and that needs no right
// on any topic: to unsubscribe from a topic that nobody subscribed to (MQTT 3.1.1, 3.10.4). Its answer comes
// after all messages that it sent before. Callbacks come on the thread that calls turn(). One thread uses it.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/settings/secret_file.h"

struct mosquitto;

namespace quietpass {

// Which broker, and how one comes in.
struct MqttServer {
    std::string host;
    int port = 1883;
    bool tls = false;
    std::string ca_file; // of a TLS broker; empty: the system's authorities
    std::optional<Login> login;
};

class MqttLink {
  public:
    using OnMessage = std::function<void(std::string_view topic, std::string_view payload)>;

    MqttLink(MqttServer broker, std::string client_id, std::vector<std::string> topics, OnMessage on_message);
    ~MqttLink();
    MqttLink(const MqttLink&) = delete;
    MqttLink& operator=(const MqttLink&) = delete;

    // Begins to connect, and to subscribe to the topics. False when that failed at once: why() says why.
    bool open();
    void close();
    // Sends and takes what is due, for at most so many milliseconds. False when the connection failed.
    bool turn(int at_most_ms);
    // The broker has granted all topics.
    bool subscribed() const { return subscribed_; }

    // Asks the broker for an answer; 0 when it can't be asked.
    int ask();
    // The last question that was answered.
    int answered() const { return answered_; }

    const std::string& why() const { return why_; }

  private:
    bool fail(int error);

    const MqttServer broker_;
    const std::string client_id_;
    const std::vector<std::string> topics_;
    const OnMessage on_message_;
    mosquitto* client_ = nullptr;
    int subscription_ = 0;
    bool subscribed_ = false;
    int answered_ = 0;
    std::string refused_; // by the broker, in its words
    std::string why_;
};

} // namespace quietpass
