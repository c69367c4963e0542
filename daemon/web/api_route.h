// What the routes of Api share: the request in its parts, what is wrong with it, JSON in and out. Within
// daemon/web only.
#pragma once

#include <cstdint>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/web/api.h"

namespace quietpass {

using Json = nlohmann::ordered_json;

// Thrown within a route, answered as its error.
struct Refusal {
    int status = 400;
    std::string what;
    std::string where; // the field, the parameter, the route
    std::string to_do;
    std::vector<std::pair<std::string, std::string>> headers = {};
};

WebAnswer json_answer(const Json& json, int status = 200);
WebAnswer refusal_answer(const Refusal& refusal);

struct Api::Call {
    const WebRequest& request;
    const std::string& place;        // the path's first part: "calls"
    std::vector<std::string> values; // of the path's {…}, in order
    std::optional<Session> session;
    std::map<std::string, std::string> query; // decoded
    Json body;                                // an object, of requests that have one

    std::int64_t id(std::size_t value) const; // 404 for what is no number
    const Session& who() const { return *session; }
    // 400 for what isn't as wished; nothing when it isn't there.
    std::optional<std::int64_t> number(const char* parameter, std::int64_t lowest,
                                       std::int64_t highest) const;
    std::optional<double> real(const char* parameter, double lowest, double highest) const;
    std::string any_word(const char* parameter) const;     // empty when it isn't there
    std::optional<bool> flag(const char* parameter) const; // 1, 0
    std::optional<std::int64_t> moment(const char* parameter) const;
    std::string word(const char* parameter, const std::vector<std::string_view>& words) const;
    // 422 for a field that isn't as wished; `fallback` when it isn't there.
    std::string text(const char* field, std::size_t longest) const;
    std::string text_or(const char* field, std::size_t longest, const std::string& fallback) const;
    void only(const std::vector<std::string_view>& fields) const;
};

std::optional<std::int64_t> whole_number(std::string_view text);

} // namespace quietpass
