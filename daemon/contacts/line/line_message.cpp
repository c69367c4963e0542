#include "daemon/contacts/line/line_message.h"

#include <charconv>
#include <vector>

#include "daemon/contacts/addresses/line_address.h"

namespace quietpass {

namespace {

std::vector<std::string_view> words_of(std::string_view line) {
    std::vector<std::string_view> words;
    for (;;) {
        const std::size_t space = line.find(' ');
        words.push_back(line.substr(0, space));
        if (space == std::string_view::npos) return words;
        line.remove_prefix(space + 1);
    }
}

std::optional<std::uint32_t> stamp_from(std::string_view word) {
    std::uint32_t value = 0;
    const char* const end = word.data() + word.size();
    const auto [stop, error] = std::from_chars(word.data(), end, value);
    if (error != std::errc() || stop != end) return std::nullopt;
    return value;
}

bool read_state(std::string_view word, LineMessage& message) {
    if (word == "1" || word == "0") message.closed = word == "1";
    return message.closed || word == "?";
}

} // namespace

std::string line_checksum(std::string_view line) {
    unsigned char sum = 0;
    for (const char letter : line) sum = static_cast<unsigned char>(sum ^ static_cast<unsigned char>(letter));
    constexpr std::string_view kDigits = "0123456789ABCDEF";
    return {kDigits[sum >> 4], kDigits[sum & 15]};
}

std::optional<LineMessage> line_message_from(std::string_view line) {
    if (line.size() > kLongestLine) return std::nullopt;
    if (const std::size_t star = line.rfind(" *"); star != std::string_view::npos) {
        if (line.substr(star + 2) != line_checksum(line.substr(0, star))) return std::nullopt;
        line = line.substr(0, star);
    }
    const std::vector<std::string_view> words = words_of(line);
    LineMessage message;
    std::size_t next = 1;
    if (words[0] == "in") {
        if (words.size() < 3 || !is_line_input_name(words[1]) || !read_state(words[2], message)) {
            return std::nullopt;
        }
        message.input = words[1];
        next = 3;
    } else if (words[0] != "alive") {
        return std::nullopt;
    }
    if (next == words.size()) return message;
    message.stamp_ms = stamp_from(words[next]);
    if (!message.stamp_ms || next + 1 != words.size()) return std::nullopt;
    return message;
}

} // namespace quietpass
