#include "daemon/web/api_route.h"

#include <algorithm>
#include <charconv>

#include "daemon/records/utc_text.h"
#include "daemon/web/api_json.h"

namespace quietpass {

WebAnswer json_answer(const Json& json, int status) {
    WebAnswer answer;
    answer.status = status;
    answer.type = "application/json";
    answer.body =
        std::make_shared<const std::string>(json.dump(-1, ' ', false, Json::error_handler_t::replace) + '\n');
    return answer;
}

WebAnswer refusal_answer(const Refusal& refusal) {
    WebAnswer answer =
        json_answer({{"error", {{"what", refusal.what}, {"where", refusal.where}, {"do", refusal.to_do}}}},
                    refusal.status);
    answer.headers = refusal.headers;
    return answer;
}

std::optional<std::int64_t> whole_number(std::string_view text) {
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

std::int64_t id_in(const Json& value, const char* field) {
    const bool fits = value.is_number_integer() &&
                      (!value.is_number_unsigned() || value.get<std::uint64_t>() <= INT64_MAX) &&
                      value.get<std::int64_t>() > 0;
    if (!fits) throw Refusal{422, "expected a number from 1 on", field, "mend it"};
    return value.get<std::int64_t>();
}

std::int64_t Api::Call::id(std::size_t value) const {
    const auto number = whole_number(values.at(value));
    if (number && *number > 0) return *number;
    throw Refusal{404, "there is nothing of this number", request.path, "give a number from the list"};
}

std::optional<std::int64_t> Api::Call::number(const char* parameter, std::int64_t lowest,
                                              std::int64_t highest) const {
    const auto found = query.find(parameter);
    if (found == query.end()) return std::nullopt;
    const auto value = whole_number(found->second);
    if (value && *value >= lowest && *value <= highest) return value;
    throw Refusal{400, "this is no number as expected", parameter,
                  "give a whole number from " + std::to_string(lowest) + " to " + std::to_string(highest)};
}

std::optional<double> Api::Call::real(const char* parameter, double lowest, double highest) const {
    const auto found = query.find(parameter);
    if (found == query.end()) return std::nullopt;
    const std::string& text = found->second;
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool whole = !text.empty() && error == std::errc() && end == text.data() + text.size();
    if (whole && value >= lowest && value <= highest) return value;
    throw Refusal{400, "this is no number as expected", parameter,
                  "give a number from " + std::to_string(static_cast<long long>(lowest)) + " to " +
                      std::to_string(static_cast<long long>(highest))};
}

std::string Api::Call::any_word(const char* parameter) const {
    const auto found = query.find(parameter);
    return found == query.end() ? std::string() : found->second;
}

std::optional<bool> Api::Call::flag(const char* parameter) const {
    const auto value = number(parameter, 0, 1);
    return value ? std::optional(*value == 1) : std::nullopt;
}

std::optional<std::int64_t> Api::Call::moment(const char* parameter) const {
    const auto found = query.find(parameter);
    if (found == query.end()) return std::nullopt;
    if (const auto utc_ns = utc_from_text(found->second)) return utc_ns;
    throw Refusal{400, "this is no moment", parameter, "give UTC as 2026-03-02T13:00:00Z"};
}

std::string Api::Call::word(const char* parameter, const std::vector<std::string_view>& words) const {
    const auto found = query.find(parameter);
    if (found == query.end()) return {};
    if (std::find(words.begin(), words.end(), found->second) != words.end()) return found->second;
    std::string list;
    for (const std::string_view word : words) list += (list.empty() ? "" : ", ") + std::string(word);
    throw Refusal{400, "this word is not known", parameter, "give one of " + list};
}

std::string Api::Call::text_or(const char* field, std::size_t longest, const std::string& fallback) const {
    const auto found = body.find(field);
    if (found == body.end() || found->is_null()) return fallback;
    if (!found->is_string() || found->get_ref<const std::string&>().size() > longest) {
        throw Refusal{422, "expected a text of " + std::to_string(longest) + " bytes at most", field,
                      "mend it"};
    }
    return found->get<std::string>();
}

std::string Api::Call::text(const char* field, std::size_t longest) const {
    const auto found = body.find(field);
    if (found == body.end()) throw Refusal{422, "a field is missing", field, "give it"};
    return text_or(field, longest, "");
}

void Api::Call::only(const std::vector<std::string_view>& fields) const {
    for (const auto& [key, value] : body.items()) {
        if (std::find(fields.begin(), fields.end(), key) == fields.end())
            throw Refusal{422, "a field is not known", key.substr(0, 64), "leave it out"};
    }
}

} // namespace quietpass
