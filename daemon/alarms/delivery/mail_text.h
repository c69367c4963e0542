// An alarm's message as the text of a mail (RFC 5322, MIME): UTF-8 subject (RFC 2047), UTF-8 text in base64,
// lines ended by CR LF. The Message-ID is made of the message's id alone, so a mail that is sent twice is the
// same mail; all mails of one alarm refer to the first, so mail programs show them together. Pure.
#pragma once

#include <string>

#include "daemon/alarms/alarm_message.h"

namespace quietpass {

std::string mail_text(const AlarmMessage& message, const std::string& from, const std::string& to);

// A header's value: as it is when plain ASCII, else encoded words; folded.
std::string mail_header(const std::string& name, const std::string& value);

} // namespace quietpass
