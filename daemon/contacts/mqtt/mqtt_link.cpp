#include "daemon/contacts/mqtt/mqtt_link.h"

#include <mosquitto.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

#include "daemon/mqtt/mqtt_tls.h"

namespace quietpass {

namespace {

constexpr int kKeepAlive_s = 10; // the broker drops us when it heard nothing for half as long again
constexpr int kAtLeastOnce = 1;
constexpr int kRefused = 0x80; // MQTT 3.1.1, 3.9.3
constexpr const char* kNobodysTopic = "quietpass/still-there";

void start_library() {
    static const int started = mosquitto_lib_init();
    static_cast<void>(started);
}

} // namespace

MqttLink::MqttLink(MqttServer broker, std::string client_id, std::vector<std::string> topics,
                   OnMessage on_message)
    : broker_(std::move(broker)),
      client_id_(std::move(client_id)),
      topics_(std::move(topics)),
      on_message_(std::move(on_message)) {
    start_library();
}

MqttLink::~MqttLink() {
    close();
}

bool MqttLink::open() {
    close();
    subscribed_ = false;
    answered_ = subscription_ = 0;
    refused_.clear();
    // A clean session: after a loss the retained messages tell the levels as they are, not a queue as they
    // were.
    client_ = mosquitto_new(client_id_.c_str(), true, this);
    if (client_ == nullptr) return fail(MOSQ_ERR_NOMEM);
    mosquitto_connect_callback_set(client_, [](mosquitto* client, void* self, int code) {
        auto& link = *static_cast<MqttLink*>(self);
        if (code != 0) {
            link.refused_ = mosquitto_connack_string(code);
            return;
        }
        std::vector<char*> topics;
        for (const std::string& topic : link.topics_) topics.push_back(const_cast<char*>(topic.c_str()));
        mosquitto_subscribe_multiple(client, &link.subscription_, static_cast<int>(topics.size()),
                                     topics.data(), kAtLeastOnce, 0, nullptr);
    });
    mosquitto_subscribe_callback_set(
        client_, [](mosquitto*, void* self, int id, int count, const int* granted) {
            auto& link = *static_cast<MqttLink*>(self);
            if (id != link.subscription_) return;
            const int* const refused = std::find(granted, granted + count, kRefused);
            if (refused != granted + count) {
                link.refused_ = "the broker refuses topic " +
                                link.topics_.at(static_cast<std::size_t>(refused - granted));
                return;
            }
            link.subscribed_ = true;
        });
    mosquitto_unsubscribe_callback_set(
        client_, [](mosquitto*, void* self, int id) { static_cast<MqttLink*>(self)->answered_ = id; });
    mosquitto_message_callback_set(client_, [](mosquitto*, void* self, const mosquitto_message* message) {
        const auto size = static_cast<std::size_t>(std::max(message->payloadlen, 0));
        static_cast<MqttLink*>(self)->on_message_(message->topic,
                                                  {static_cast<const char*>(message->payload), size});
    });
    if (const auto& login = broker_.login)
        mosquitto_username_pw_set(client_, login->user.c_str(), login->password.c_str());
    if (broker_.tls) {
        if (const int error = use_tls(client_, broker_.ca_file); error != MOSQ_ERR_SUCCESS)
            return fail(error);
    }
    const int error = mosquitto_connect_async(client_, broker_.host.c_str(), broker_.port, kKeepAlive_s);
    return error == MOSQ_ERR_SUCCESS || fail(error);
}

void MqttLink::close() {
    if (client_ == nullptr) return;
    mosquitto_disconnect(client_);
    mosquitto_destroy(client_);
    client_ = nullptr;
}

bool MqttLink::turn(int at_most_ms) {
    const int error = mosquitto_loop(client_, at_most_ms, 1);
    if (refused_.empty() && error == MOSQ_ERR_SUCCESS) return true;
    if (refused_.empty()) return fail(error);
    why_ = refused_;
    return false;
}

int MqttLink::ask() {
    int id = 0;
    return mosquitto_unsubscribe(client_, &id, kNobodysTopic) == MOSQ_ERR_SUCCESS ? id : 0;
}

bool MqttLink::fail(int error) {
    why_ = error == MOSQ_ERR_ERRNO ? std::strerror(errno) : mosquitto_strerror(error);
    return false;
}

} // namespace quietpass
