#include "daemon/alarms/delivery/mail_text.h"

#include <sodium.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <ctime>

#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

constexpr std::size_t kLineBytes = 57; // 76 characters of base64, the most a line may have (RFC 2045, 6.8)
constexpr std::size_t kWordBytes = 39; // 52 of base64: a line of 76 at most with "Subject: " (RFC 2047, 2)

std::string base64(std::string_view bytes) {
    std::string text(sodium_base64_encoded_len(bytes.size(), sodium_base64_VARIANT_ORIGINAL), '\0');
    sodium_bin2base64(text.data(), text.size(), reinterpret_cast<const unsigned char*>(bytes.data()),
                      bytes.size(), sodium_base64_VARIANT_ORIGINAL);
    text.pop_back(); // the end mark
    return text;
}

bool continues_letter(char c) {
    return (static_cast<unsigned char>(c) & 0xc0) == 0x80;
}

// RFC 5322, 3.3.
std::string mail_date(std::int64_t utc_ns) {
    const std::time_t seconds = utc_ns / 1'000'000'000;
    std::tm parts{};
    gmtime_r(&seconds, &parts);
    constexpr std::array kDays = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
    constexpr std::array kMonths = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                    "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    std::array<char, 64> text{};
    std::strftime(text.data(), text.size(), "%H:%M:%S +0000", &parts);
    return std::string(kDays[static_cast<std::size_t>(parts.tm_wday)]) + ", " +
           std::to_string(parts.tm_mday) + " " + kMonths[static_cast<std::size_t>(parts.tm_mon)] + " " +
           std::to_string(1900 + parts.tm_year) + " " + text.data();
}

// An id as the left side of a Message-ID: letters, digits, '-', '_', single dots; the rest as =XX.
std::string id_word(const std::string& id) {
    constexpr const char* kHex = "0123456789ABCDEF";
    std::string word;
    for (const char letter : id) {
        const auto byte = static_cast<unsigned char>(letter);
        const bool plain = (byte >= '0' && byte <= '9') || (byte >= 'a' && byte <= 'z') ||
                           (byte >= 'A' && byte <= 'Z') || byte == '-' || byte == '_';
        if (plain) {
            word += letter;
        } else {
            word += {'=', kHex[byte >> 4], kHex[byte & 15]};
        }
    }
    return word;
}

std::string body_of(const AlarmMessage& message) {
    std::string body = message.text + "\n\nStation: " + message.station +
                       "\nTime (UTC): " + utc_text(message.utc_ns) + "\nState: " + message.event + "\n";
    if (message.count > 1) body += "Times: " + std::to_string(message.count) + "\n";
    for (const auto& [name, value] : message.facts) body += name + ": " + value + "\n";
    body += "Message: " + message.id + "\n";
    return body;
}

} // namespace

std::string mail_header(const std::string& name, const std::string& value) {
    std::string line = value;
    std::replace_if(
        line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; },
        ' ');
    const bool ascii =
        std::all_of(line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; });
    if (ascii && line.size() < 900) return name + ": " + line + "\r\n"; // 998 at most (RFC 5322, 2.1.1)
    std::string header = name + ":";
    for (std::size_t from = 0; from < line.size();) {
        std::size_t end = std::min(from + kWordBytes, line.size());
        // Never through the middle of a letter; of one that is broken, somewhere.
        while (end < line.size() && end > from + 1 && continues_letter(line[end])) --end;
        header += std::string(from > 0 ? "\r\n" : "") + " =?UTF-8?B?" +
                  base64(std::string_view(line).substr(from, end - from)) + "?=";
        from = end;
    }
    return header + "\r\n";
}

std::string mail_text(const AlarmMessage& message, const std::string& from, const std::string& to) {
    const std::string domain = from.substr(from.find('@') + 1);
    std::string text = mail_header("Date", mail_date(message.utc_ns));
    text += mail_header("From", from);
    text += mail_header("To", to);
    text += mail_header("Message-ID", "<" + id_word(message.id) + "@" + domain + ">");
    text += mail_header("References", "<" + id_word(message.alarm) + ".alarm@" + domain + ">");
    text += mail_header("Subject", message.station + ": " + message.headline);
    if (message.severity == "at_once" && (message.event == "raised" || message.event == "again")) {
        text += "Importance: high\r\n";
    }
    text += "Auto-Submitted: auto-generated\r\n"; // RFC 3834: no holiday replies
    text += "MIME-Version: 1.0\r\nContent-Type: text/plain; charset=utf-8\r\n";
    text += "Content-Transfer-Encoding: base64\r\n\r\n";
    const std::string body = body_of(message);
    for (std::size_t at = 0; at < body.size(); at += kLineBytes) {
        text += base64(std::string_view(body).substr(at, kLineBytes)) + "\r\n";
    }
    return text;
}

} // namespace quietpass
