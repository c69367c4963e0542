// What a contact's MQTT topic says, in words.
//
// Closed: 1, closed, on, true. Open: 0, open, off, false. Not known: unknown, offline, unavailable (what a
// device's last will says). In letters of any case; blanks around it don't count. Pure.
#pragma once

#include <optional>
#include <string_view>

namespace quietpass {

enum class ContactWord { kClosed, kOpen, kUnknown };

// Nothing for any other payload.
std::optional<ContactWord> contact_word_from(std::string_view payload);

} // namespace quietpass
