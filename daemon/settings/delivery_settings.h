// Where alarms are handed to: the [[delivery]] tables of a station file, checked. Plain values;
// deploy/station.md describes each key.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "daemon/settings/relay_address.h"

namespace quietpass {

struct MailSettings {
    std::string url; // smtps://host:465, or smtp://host:587 where STARTTLS is then demanded
    std::string from;
    std::vector<std::string> to;
    std::string login_file; // user and password, a line each; empty: no login
    std::string ca_file;    // empty: the system's authorities
};

struct WebhookSettings {
    std::string url;
    std::string secret_file; // the key that bodies are signed with
    std::string ca_file;
    std::string proxy;
};

struct MqttSettings {
    std::string url; // mqtt://host:1883 or mqtts://host:8883
    std::string host;
    int port = 1883;
    bool tls = false;
    std::string topic;
    std::string client_id;
    std::string login_file;
    std::string ca_file;
};

struct RelaySettings {
    std::string output; // as written
    RelayAddress line;
    bool inverted = false;   // the lamp is on while the output is off
    double reassert_s = 5.0; // how often the output is written again, so that a device that restarted has it
    double test_for_s = 2.0; // how long `alarms test` switches it on
};

struct CommandSettings {
    std::string program; // an absolute path
    std::vector<std::string> arguments;
};

struct DeliverySettings {
    std::string name;
    std::variant<MailSettings, WebhookSettings, MqttSettings, RelaySettings, CommandSettings> to;
    // What it takes; empty: all.
    std::vector<std::string> severities;
    std::vector<std::string> causes;
    std::vector<std::string> events;
    // Common practice, no source.
    double within_s = 20.0;     // for one try, from the first packet to the acknowledgement
    double first_retry_s = 2.0; // after a failure; then twice as long each time …
    double last_retry_s = 60.0; // … up to this
};

struct OutboxSettings {
    double keep_days = 30.0; // what was handed over is kept so long, to look back at and to know repeats by
};

} // namespace quietpass
