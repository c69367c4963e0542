// An alarm's message as one JSON object, UTF-8, without a line end: the body of webhooks, the payload of MQTT
// and the standard input of commands. FORMATS.md has its keys. The same message gives the same bytes. Pure.
#pragma once

#include <map>
#include <string>

#include "daemon/alarms/alarm_message.h"

namespace quietpass {

std::string message_json(const AlarmMessage& message);

// The facts alone, as an object and back: for the outbox. Throws std::exception for text that isn't one.
std::string facts_json(const std::map<std::string, std::string>& facts);
std::map<std::string, std::string> facts_from_json(const std::string& text);

} // namespace quietpass
