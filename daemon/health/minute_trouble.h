// What is wrong with a microphone in a minute, and what to look at, in words that follow "the microphone is": of
// the sign that fills at least half of the minute's work. Empty: none does. Pure.
#pragma once

#include <string>

#include "daemon/health/microphone_minute.h"

namespace quietpass {

std::string trouble_in(const MicrophoneMinute& minute);

} // namespace quietpass
