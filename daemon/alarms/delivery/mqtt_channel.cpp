#include "daemon/alarms/delivery/mqtt_channel.h"

#include <mosquitto.h>

#include <cerrno>
#include <cstring>

#include "daemon/alarms/delivery/message_json.h"
#include "daemon/mqtt/mqtt_tls.h"

namespace quietpass {

namespace {

using RealTime = std::chrono::steady_clock;

constexpr int kKeepAlive_s = 30;
constexpr std::chrono::seconds kTendEvery{5};
constexpr int kTurn_ms = 100; // how soon a stop is seen

std::string words_of(int code) {
    return code == MOSQ_ERR_ERRNO ? std::strerror(errno) : mosquitto_strerror(code);
}

} // namespace

struct MqttChannel::Connection {
    Connection(const MqttSettings& settings, const std::optional<Login>& login) {
        static const int kStarted = mosquitto_lib_init();
        client =
            kStarted == MOSQ_ERR_SUCCESS ? mosquitto_new(settings.client_id.c_str(), true, this) : nullptr;
        if (client == nullptr) {
            error = "the MQTT library can't be started";
            return;
        }
        mosquitto_connect_callback_set(client, [](mosquitto*, void* self, int code) {
            auto& connection = *static_cast<Connection*>(self);
            connection.connected = code == 0;
            if (code != 0) connection.error = mosquitto_connack_string(code);
        });
        mosquitto_publish_callback_set(client, [](mosquitto*, void* self, int id) {
            static_cast<Connection*>(self)->acknowledged = id;
        });
        int code = MOSQ_ERR_SUCCESS;
        if (login) code = mosquitto_username_pw_set(client, login->user.c_str(), login->password.c_str());
        if (code == MOSQ_ERR_SUCCESS && settings.tls) {
            code = use_tls(client, settings.ca_file);
        }
        if (code != MOSQ_ERR_SUCCESS) error = words_of(code);
    }
    ~Connection() {
        if (client == nullptr) return;
        mosquitto_disconnect(client);
        mosquitto_destroy(client);
    }
    Connection(const Connection&) = delete;
    Connection& operator=(const Connection&) = delete;

    // Drives the connection until the condition holds; false with `error` set when it can't.
    template <typename Holds>
    bool drive_until(Holds holds, RealTime::time_point deadline, const std::atomic<bool>& stop) {
        while (!holds()) {
            if (!error.empty()) return false;
            if (stop.load() || RealTime::now() >= deadline) {
                error = stop.load() ? "stopped" : "no answer in time";
                return false;
            }
            turn(kTurn_ms);
        }
        return true;
    }

    void turn(int wait_ms) {
        const int code = mosquitto_loop(client, wait_ms, 1);
        if (code != MOSQ_ERR_SUCCESS && error.empty()) error = words_of(code);
    }

    mosquitto* client = nullptr;
    bool connected = false;
    int acknowledged = 0;
    std::string error;
};

MqttChannel::MqttChannel(MqttSettings settings, std::optional<Login> login, double within_s)
    : settings_(std::move(settings)), login_(std::move(login)), within_s_(within_s) {}

MqttChannel::~MqttChannel() = default;

std::string MqttChannel::place() const {
    return settings_.url + " " + settings_.topic;
}

HandOver MqttChannel::hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) {
    const bool was_open = connection_ != nullptr;
    HandOver outcome = publish(message, stop);
    // One that had been open may have died since, unseen: that says nothing of the broker as it is now.
    if (outcome.result == HandOver::Result::kUnreachable && was_open && !stop.load()) {
        outcome = publish(message, stop);
    }
    return outcome;
}

HandOver MqttChannel::publish(const AlarmMessage& message, const std::atomic<bool>& stop) {
    const auto deadline = RealTime::now() + std::chrono::duration_cast<RealTime::duration>(
                                                std::chrono::duration<double>(within_s_));
    const auto give_up = [this] {
        std::string error = connection_->error;
        connection_.reset();
        return HandOver::unreachable(std::move(error));
    };
    if (!connection_) {
        connection_ = std::make_unique<Connection>(settings_, login_);
        Connection& made = *connection_;
        if (made.error.empty()) {
            // The other kind of connect waits as long as the system likes.
            const int code =
                mosquitto_connect_async(made.client, settings_.host.c_str(), settings_.port, kKeepAlive_s);
            if (code != MOSQ_ERR_SUCCESS) made.error = words_of(code);
        }
        if (!made.drive_until([&made] { return made.connected; }, deadline, stop)) return give_up();
    }
    Connection& open = *connection_;
    const std::string payload = message_json(message);
    int id = 0;
    const int code = mosquitto_publish(open.client, &id, settings_.topic.c_str(),
                                       static_cast<int>(payload.size()), payload.data(), 1, false);
    if (code != MOSQ_ERR_SUCCESS) open.error = words_of(code);
    if (!open.drive_until([&open, id] { return open.acknowledged == id; }, deadline, stop)) return give_up();
    return HandOver::done("PUBACK");
}

std::optional<std::chrono::nanoseconds> MqttChannel::tend_every() const {
    return kTendEvery;
}

std::string MqttChannel::tend(const std::atomic<bool>& /*stop*/) {
    if (!connection_) return {};
    // What came in, and a ping when it is due.
    connection_->turn(0);
    if (connection_->error.empty()) connection_->turn(0);
    // The next message connects anew; that the line broke meanwhile is no failure.
    if (!connection_->error.empty()) connection_.reset();
    return {};
}

HandOver MqttChannel::test(const AlarmMessage& message, const std::atomic<bool>& stop) {
    MqttSettings settings = settings_;
    settings.client_id += "-test";
    MqttChannel other(std::move(settings), login_, within_s_);
    return other.hand_over(message, stop);
}

} // namespace quietpass
