// Reads an address from front to back: each eat_… takes what it names off the front, or says that it isn't
// there.
//
// Pure; the text must outlive the reader.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

class AddressReader {
  public:
    explicit AddressReader(std::string_view text) : text_(text) {}

    bool eat(std::string_view word);
    // 0 … highest, decimal digits only.
    std::optional<int> eat_number(int highest);
    // A name, an IPv4 address or an IPv6 address in brackets, without the brackets; what follows must be `:`
    // or `/`.
    std::optional<std::string> eat_host();
    // ":N" with N 1 … 65535; `otherwise` where there is no colon.
    std::optional<int> eat_port(int otherwise);

    std::string_view rest() const { return text_; }
    bool at_end() const { return text_.empty(); }

  private:
    std::string_view text_;
};

// "host:port", an IPv6 address in brackets.
std::string host_and_port(const std::string& host, int port);

// Whether a text can stand in names of an address: not empty, no blanks or control letters.
bool is_plain_word(std::string_view text);

} // namespace quietpass
