// How a webhook's receiver knows that a body is ours and fresh: HMAC-SHA256 (RFC 2104, FIPS 180-4) over the
// time in decimal seconds since 1970, a full stop and the body's bytes, in lower-case hex. Pure.
#pragma once

#include <cstdint>
#include <string>

namespace quietpass {

std::string webhook_signature(const std::string& key, std::int64_t utc_s, const std::string& body);

} // namespace quietpass
