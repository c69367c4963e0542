// Ed25519 (RFC 8032, by libsodium) on hex text, as keys and signatures stand in the store. Any thread.
#pragma once

#include <string>
#include <string_view>

namespace quietpass {

// The first 16 hex digits of the SHA-256 of the public key's 32 bytes; empty for what is no public key.
std::string key_id_of(std::string_view public_key);

// False also for text that is no key or no signature.
bool is_signed_by(std::string_view public_key, std::string_view bytes, std::string_view signature);

} // namespace quietpass
