// A head: what the station signs of the ledger. The hash of a record covers all before it, so the signature
// does too. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/ledger/chain.h"

namespace quietpass {

struct SignedHead {
    std::int64_t of_seq = 0;
    ChainHash hash = kChainStart; // of that record
    std::int64_t utc_ns = 0;
    std::string key_id;    // 16 hex digits
    std::string signature; // 128 hex digits
};

// "quietpass head 1\n" + of_seq + "\n" + hash in hex + "\n" + utc_ns + "\n".
std::string signed_bytes(const SignedHead& head);

// What a key that replaces another has signed by that one:
// "quietpass key 1\n" + public key in hex + "\n" + since_utc_ns + "\n".
std::string key_proof_bytes(std::string_view public_key, std::int64_t since_utc_ns);

// What paper carries: "QUIETPASS1 SEQ HASH UTC_NS KEY_ID SIGNATURE". The head there is the one over the
// record SEQ. From text: blanks and line ends may be anywhere between the words; nothing for any other text.
std::string code_of(const SignedHead& head);
std::optional<SignedHead> head_from_code(const std::string& text);

} // namespace quietpass
