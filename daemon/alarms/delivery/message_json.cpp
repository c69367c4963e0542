#include "daemon/alarms/delivery/message_json.h"

#include <nlohmann/json.hpp>

#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

// A byte that isn't UTF-8 becomes U+FFFD: a message is never lost for it.
template <typename Json>
std::string bytes_of(const Json& json) {
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

} // namespace

std::string message_json(const AlarmMessage& message) {
    nlohmann::ordered_json json;
    json["id"] = message.id;
    json["alarm"] = message.alarm;
    json["cause"] = message.cause;
    json["event"] = message.event;
    json["station"] = message.station;
    json["at"] = utc_text(message.utc_ns);
    json["utc_ns"] = message.utc_ns;
    json["severity"] = message.severity;
    json["count"] = message.count;
    json["headline"] = message.headline;
    json["text"] = message.text;
    json["facts"] = message.facts;
    return bytes_of(json);
}

std::string facts_json(const std::map<std::string, std::string>& facts) {
    return bytes_of(nlohmann::json(facts));
}

std::map<std::string, std::string> facts_from_json(const std::string& text) {
    return nlohmann::json::parse(text).get<std::map<std::string, std::string>>();
}

} // namespace quietpass
