#include <algorithm>
#include <stdexcept>
#include <string>

#include "classifiers/profile_text.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/contacts/line/line_message.h"
#include "daemon/contacts/mqtt/contact_payload.h"
#include "daemon/failure.h"
#include "daemon/settings/station_file.h"
#include "tests/fuzz/file_in_memory.h"
#include "tests/fuzz/fuzzed.h"

namespace quietpass::fuzz {

namespace {

// A message of an error is one line that a terminal only shows, or nobody reads it.
void one_line(const std::string& text) {
    const auto is_control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; };
    if (text.empty() || std::ranges::any_of(text, is_control))
        throw std::logic_error("a message that is not one line: " + text);
}

} // namespace

void station_file(std::string_view bytes) {
    const FileInMemory file(bytes);
    try {
        read_station_file(file.path());
    } catch (const Failure& failure) {
        one_line(failure.what());
    }
}

void profile(std::string_view bytes) {
    try {
        const Profile read = profile_from_toml(bytes);
        // What can be read can be written, and is then the same.
        const std::string text = profile_to_toml(read);
        if (profile_to_toml(profile_from_toml(text)) != text)
            throw std::logic_error("a profile changes when it is read back");
    } catch (const ProfileError& error) {
        one_line(error.what());
        one_line(error.key + error.expected); // they are quoted without what()
    }
}

void contacts_csv(std::string_view bytes) {
    StationSettings settings;
    settings.contacts.resize(3);
    settings.contacts[0].name = "gate";
    settings.contacts[0].role = Role::kEntered;
    settings.contacts[1].name = "head";
    settings.contacts[1].role = Role::kHeld;
    settings.contacts[2].name = "gun";
    settings.contacts[2].role = Role::kStunned;
    const FileInMemory file(bytes);
    try {
        contact_history_of(read_contacts_csv(file.path(), settings), settings);
    } catch (const Failure& failure) {
        one_line(failure.what());
    }
}

void line_protocol(std::string_view bytes) {
    contact_word_from(bytes);
    while (!bytes.empty()) {
        const std::string_view line = bytes.substr(0, bytes.find('\n'));
        bytes.remove_prefix(std::min(bytes.size(), line.size() + 1));
        const auto message = line_message_from(line);
        if (message && line.size() > kLongestLine) throw std::logic_error("a line longer than allowed");
    }
}

} // namespace quietpass::fuzz
