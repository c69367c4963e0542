// gzip (RFC 1952), and whether a client takes it. Pure; any thread.
#pragma once

#include <string>

#include "daemon/web/web_message.h"

namespace quietpass {

enum class GzipEffort { kQuick, kBest };

// Empty when there is no memory for it.
std::string gzipped(const std::string& bytes, GzipEffort effort);

// The answer with its body compressed, where the client takes that and it is worth it. Not for answers that
// hold a secret beside what a client sent: their length would tell of it.
void gzip_body(WebAnswer& answer, const WebRequest& request);

} // namespace quietpass
