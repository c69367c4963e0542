#include "daemon/contacts/mqtt/contact_payload.h"

#include <array>
#include <string>
#include <utility>

namespace quietpass {

namespace {

constexpr std::size_t kLongestWord = 16; // more than any of them

constexpr std::array<std::pair<std::string_view, ContactWord>, 11> kWords = {{
    {"1", ContactWord::kClosed},
    {"closed", ContactWord::kClosed},
    {"on", ContactWord::kClosed},
    {"true", ContactWord::kClosed},
    {"0", ContactWord::kOpen},
    {"open", ContactWord::kOpen},
    {"off", ContactWord::kOpen},
    {"false", ContactWord::kOpen},
    {"unknown", ContactWord::kUnknown},
    {"offline", ContactWord::kUnknown},
    {"unavailable", ContactWord::kUnknown},
}};

} // namespace

std::optional<ContactWord> contact_word_from(std::string_view payload) {
    constexpr std::string_view kBlank = " \t\r\n";
    const std::size_t first = payload.find_first_not_of(kBlank);
    if (first == std::string_view::npos) return std::nullopt;
    payload = payload.substr(first, payload.find_last_not_of(kBlank) - first + 1);
    if (payload.size() > kLongestWord) return std::nullopt;
    std::string lower(payload);
    for (char& letter : lower) {
        if (letter >= 'A' && letter <= 'Z') letter = static_cast<char>(letter - 'A' + 'a');
    }
    for (const auto& [word, meaning] : kWords) {
        if (lower == word) return meaning;
    }
    return std::nullopt;
}

} // namespace quietpass
