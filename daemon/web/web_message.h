// What comes from a client and what goes back, free of any HTTP library. Plain values.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace quietpass {

struct WebRequest {
    std::string method;  // "GET", "HEAD", "POST", …
    std::string path;    // without the query
    std::string query;   // after '?', as it came
    std::string address; // the client's
    std::string body;
    // Header fields that anyone here asks about; empty: not sent.
    std::string cookie;
    std::string token; // X-Quietpass-Token
    std::string range;
    std::string origin;
    std::string host;
    std::string content_type;
    std::string accept_encoding;
    std::string if_none_match;
    bool secure = false; // came by TLS
};

// Part of a file, sent piece by piece.
struct FilePart {
    std::filesystem::path file;
    std::uint64_t offset = 0;
    std::uint64_t bytes = 0;
};

struct WebAnswer {
    int status = 200;
    std::string type;                        // Content-Type
    std::shared_ptr<const std::string> body; // null: none
    std::optional<FilePart> file;            // instead of a body
    std::vector<std::pair<std::string, std::string>> headers;
};

} // namespace quietpass
