#include "daemon/ledger/signed_head.h"

#include <charconv>
#include <sstream>

namespace quietpass {
namespace {

constexpr std::string_view kMark = "QUIETPASS1";

std::optional<std::int64_t> integer_from(const std::string& text) {
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

bool is_hex(const std::string& text, std::size_t digits) {
    return text.size() == digits && text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

} // namespace

std::string signed_bytes(const SignedHead& head) {
    return "quietpass head 1\n" + std::to_string(head.of_seq) + "\n" + hex_of(head.hash) + "\n" +
           std::to_string(head.utc_ns) + "\n";
}

std::string key_proof_bytes(std::string_view public_key, std::int64_t since_utc_ns) {
    return "quietpass key 1\n" + std::string(public_key) + "\n" + std::to_string(since_utc_ns) + "\n";
}

std::string code_of(const SignedHead& head) {
    return std::string(kMark) + " " + std::to_string(head.of_seq) + " " + hex_of(head.hash) + " " +
           std::to_string(head.utc_ns) + " " + head.key_id + " " + head.signature;
}

std::optional<SignedHead> head_from_code(const std::string& text) {
    std::istringstream words(text);
    std::string mark, seq, hash, utc_ns, too_much;
    SignedHead head;
    if (!(words >> mark >> seq >> hash >> utc_ns >> head.key_id >> head.signature) || words >> too_much)
        return std::nullopt;
    const auto of_seq = integer_from(seq);
    const auto of_hash = chain_hash_from(hash);
    const auto at_ns = integer_from(utc_ns);
    if (mark != kMark || !of_seq || !of_hash || !at_ns) return std::nullopt;
    if (!is_hex(head.key_id, 16) || !is_hex(head.signature, 128)) return std::nullopt;
    head.of_seq = *of_seq;
    head.hash = *of_hash;
    head.utc_ns = *at_ns;
    return head;
}

} // namespace quietpass
