// Passwords as argon2id hashes (RFC 9106, by libsodium), 64 MiB and some tenths of a second each: whoever
// calls these from several threads bounds how many run at a time. Any thread.
//
// Errors: std::bad_alloc when the memory is not there.
#pragma once

#include <string>
#include <string_view>

namespace quietpass {

// NIST SP 800-63B section 5.1.1.2: at least 8, and a most that hashing is bounded by.
inline constexpr std::size_t kShortestPassword = 8;
inline constexpr std::size_t kLongestPassword = 256;

// "$argon2id$v=19$…", with its salt and cost.
std::string password_hash(std::string_view password);

bool password_matches(const std::string& hash, std::string_view password);

// Takes as long as password_matches() on a wrong one: for a name that nobody has.
void pretend_to_match(std::string_view password);

} // namespace quietpass
