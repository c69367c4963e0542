// Requests made at random from openapi.json: mostly as described, with one thing or another as nobody would
// send it. The same seed gives the same requests. Tests only.
#pragma once

#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <string_view>
#include <vector>

namespace quietpass::test {

class RequestMaker {
  public:
    RequestMaker(const nlohmann::json& api, unsigned seed) : api_(api), random_(seed) {}

    // "/shifts/{shift}" with its parameters filled in, and a query.
    std::string path(const std::string& route, const nlohmann::json& operation) {
        std::string path = route;
        std::string query;
        for (const auto& parameter : operation.value("parameters", nlohmann::json::array())) {
            const std::string name = parameter["name"];
            const std::string in = parameter["in"];
            if (in == "path") {
                const std::string mark = "{" + name + "}";
                path.replace(path.find(mark), mark.size(), escaped(word(parameter["schema"])));
            } else if (in == "query" && (parameter.value("required", false) || chance(3))) {
                query += (query.empty() ? "?" : "&") + name + "=" + escaped(word(parameter["schema"]));
            }
        }
        if (chance(40)) query += (query.empty() ? "?" : "&") + escaped(strange()) + "=" + escaped(strange());
        return path + query;
    }

    // A body of the schema; now and then of none.
    std::string body(const nlohmann::json& schema) {
        std::string text = value(schema, 0).dump(-1, ' ', false, nlohmann::json::error_handler_t::ignore);
        if (chance(20) && !text.empty()) text[below(text.size())] = static_cast<char>(below(256));
        if (chance(40)) text.resize(below(text.size() + 1));
        if (chance(60)) text = std::string(1 + below(5000), '[');
        return text;
    }

    bool chance(std::size_t one_in) { return below(one_in) == 0; }
    std::size_t below(std::size_t bound) {
        return std::uniform_int_distribution<std::size_t>(0, bound - 1)(random_);
    }

  private:
    static std::string escaped(const std::string& text) {
        static constexpr char kHex[] = "0123456789ABCDEF";
        std::string out;
        for (const char letter : text) {
            const auto byte = static_cast<unsigned char>(letter);
            if (std::isalnum(byte) != 0 || letter == '-' || letter == '.' || letter == '_' || letter == '~') {
                out += letter;
            } else {
                out += {'%', kHex[byte >> 4], kHex[byte & 15]};
            }
        }
        return out;
    }

    std::string strange() {
        using namespace std::string_literals;
        static const std::vector<std::string> all = {"",
                                                     " ",
                                                     "0",
                                                     "-1",
                                                     "1e400",
                                                     "nan",
                                                     "9223372036854775807",
                                                     "9223372036854775808",
                                                     "-9223372036854775808",
                                                     "18446744073709551616",
                                                     "1.5",
                                                     "0x10",
                                                     "null",
                                                     "true",
                                                     "' OR 1=1 --",
                                                     "../../users.db",
                                                     "a\0b"s,
                                                     "\xff\xfe\x80"s,
                                                     "\xed\xa0\x80"s,
                                                     "%00",
                                                     "\r\nX: y",
                                                     "<b>&amp;",
                                                     "2026-03-08",
                                                     "2026-13-45T99:99:99Z",
                                                     "9999-12-31T23:59:59.999Z",
                                                     "0000-00-00T00:00:00Z",
                                                     "1677-09-21T00:12:43Z",
                                                     "2262-04-12T00:00:00Z",
                                                     "2026-03-08T05:00:00+99:99",
                                                     "2026-W99",
                                                     "2026-00",
                                                     "٣",
                                                     "🐄",
                                                     "run/1",
                                                     "1",
                                                     "2",
                                                     "3"};
        return chance(20) ? std::string(below(3000), 'x') : all[below(all.size())];
    }

    nlohmann::json resolved(nlohmann::json schema) const {
        while (schema.contains("$ref"))
            schema = api_.at(nlohmann::json::json_pointer(schema["$ref"].get<std::string>().substr(1)));
        return schema;
    }

    // Of a parameter.
    std::string word(const nlohmann::json& schema) {
        if (chance(4)) return strange();
        const nlohmann::json made = value(schema, 0);
        return made.is_string() ? made.get<std::string>()
                                : made.dump(-1, ' ', false, nlohmann::json::error_handler_t::ignore);
    }

    nlohmann::json number(const nlohmann::json& schema, bool whole) {
        const double low = schema.value("minimum", 0.0);
        const double high = schema.value("maximum", low + 5.0);
        if (chance(6)) return chance(2) ? low - 1.0 : high + 1.0;
        const double made = low + static_cast<double>(below(1001)) / 1000.0 * (high - low);
        if (whole) return static_cast<std::int64_t>(made);
        return made;
    }

    nlohmann::json value(const nlohmann::json& described, int depth) {
        const nlohmann::json schema = resolved(described);
        if (chance(12) || depth > 6) return strange();
        if (chance(25)) return nullptr;
        if (schema.contains("enum")) return schema["enum"][below(schema["enum"].size())];
        const std::string type = schema.value("type", "object");
        if (type == "integer" || type == "number") return number(schema, type == "integer");
        if (type == "boolean") return chance(2);
        if (type == "array") {
            auto list = nlohmann::json::array();
            for (std::size_t i = below(chance(10) ? 200 : 4); i > 0; --i)
                list.push_back(value(schema.value("items", nlohmann::json::object()), depth + 1));
            return list;
        }
        if (type == "string") {
            if (schema.value("format", "") == "date-time" && !chance(4)) return "2026-03-08T05:00:10Z";
            return chance(2) ? strange() : std::string("words of a person");
        }
        nlohmann::json object = nlohmann::json::object();
        for (const auto& part : schema.value("allOf", nlohmann::json::array())) {
            const nlohmann::json made = value(part, depth + 1);
            if (made.is_object()) object.update(made);
        }
        const nlohmann::json properties = schema.value("properties", nlohmann::json::object());
        for (const auto& [name, one] : properties.items()) {
            if (!chance(6)) object[name] = value(one, depth + 1);
        }
        if (chance(20)) object[strange()] = strange();
        return object;
    }

    const nlohmann::json& api_;
    std::mt19937 random_;
};

} // namespace quietpass::test
