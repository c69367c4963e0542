#include "daemon/contacts/addresses/address_reader.h"

#include <algorithm>
#include <charconv>

namespace quietpass {

bool AddressReader::eat(std::string_view word) {
    if (!text_.starts_with(word)) return false;
    text_.remove_prefix(word.size());
    return true;
}

std::optional<int> AddressReader::eat_number(int highest) {
    int value = 0;
    const auto [end, error] = std::from_chars(text_.data(), text_.data() + text_.size(), value);
    if (error != std::errc() || text_.front() == '-' || value > highest) return std::nullopt;
    text_.remove_prefix(static_cast<std::size_t>(end - text_.data()));
    return value;
}

std::optional<std::string> AddressReader::eat_host() {
    const bool bracketed = eat("[");
    const std::size_t end = text_.find_first_of(bracketed ? "]" : ":/");
    if (end == 0 || end == std::string_view::npos) return std::nullopt;
    const std::string host(text_.substr(0, end));
    if (host.find_first_of(" \t@?#") != std::string::npos) return std::nullopt;
    text_.remove_prefix(bracketed ? end + 1 : end);
    return host;
}

std::optional<int> AddressReader::eat_port(int otherwise) {
    if (!eat(":")) return otherwise;
    const auto port = eat_number(65535);
    if (port == 0) return std::nullopt;
    return port;
}

std::string host_and_port(const std::string& host, int port) {
    const bool bracketed = host.find(':') != std::string::npos;
    return (bracketed ? "[" + host + "]" : host) + ":" + std::to_string(port);
}

bool is_plain_word(std::string_view text) {
    return !text.empty() && std::all_of(text.begin(), text.end(), [](char letter) {
        return static_cast<unsigned char>(letter) > ' ' && letter != 127;
    });
}

} // namespace quietpass
