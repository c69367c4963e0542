// What the minutes of a microphone's health are worth telling: one line when signs of trouble fill half of
// a working minute, and one when they are gone. Pure; not thread-safe.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "daemon/health/microphone_minute.h"

namespace quietpass {

class HealthNews {
  public:
    struct Line {
        bool warning;
        std::string text;
    };
    std::optional<Line> take(const MicrophoneMinute& minute);

  private:
    std::map<std::string, std::string> told_; // by microphone: the trouble last told of, empty: none
};

} // namespace quietpass
