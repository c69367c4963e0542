// Whether a JSON value is what an OpenAPI 3.0 schema says: the part of JSON Schema that openapi.json uses.
// Tests only.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace quietpass::test {

// Empty when it is, else the first place where it isn't.
inline std::string fault_of(const nlohmann::json& value, nlohmann::json schema, const nlohmann::json& api,
                            const std::string& where = "$") {
    while (schema.contains("$ref"))
        schema = api.at(nlohmann::json::json_pointer(schema["$ref"].get<std::string>().substr(1)));
    if (value.is_null()) return schema.value("nullable", false) ? "" : where + " is null";
    for (const auto& part : schema.value("allOf", nlohmann::json::array())) {
        if (const auto fault = fault_of(value, part, api, where); !fault.empty()) return fault;
    }
    const std::string type = schema.value("type", "");
    const bool fits = type.empty() || (type == "object" && value.is_object()) ||
                      (type == "array" && value.is_array()) || (type == "string" && value.is_string()) ||
                      (type == "integer" && value.is_number_integer()) ||
                      (type == "number" && value.is_number()) || (type == "boolean" && value.is_boolean());
    if (!fits) return where + " is no " + type + ": " + value.dump();
    if (schema.contains("enum")) {
        const auto& words = schema["enum"];
        if (std::find(words.begin(), words.end(), value) == words.end())
            return where + " is not of the enum: " + value.dump();
    }
    if (type == "array" && schema.contains("items")) {
        for (std::size_t i = 0; i < value.size(); ++i) {
            const auto fault =
                fault_of(value[i], schema["items"], api, where + "[" + std::to_string(i) + "]");
            if (!fault.empty()) return fault;
        }
    }
    if (type != "object" || !schema.contains("properties")) return "";
    for (const auto& key : schema["required"]) {
        if (!value.contains(key.get<std::string>())) return where + " lacks " + key.get<std::string>();
    }
    for (const auto& [key, one] : value.items()) {
        if (!schema["properties"].contains(key)) return where + " has " + key + ", which is not described";
        const auto fault = fault_of(one, schema["properties"][key], api, where + "." + key);
        if (!fault.empty()) return fault;
    }
    return "";
}

} // namespace quietpass::test
