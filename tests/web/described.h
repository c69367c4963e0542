// Asks a served page, and holds each answer against openapi.json as the daemon serves it. Tests only.
#pragma once

#include <catch2/catch.hpp>
#include <string>

#include "tests/web/described_by.h"
#include "tests/web/http_client.h"

namespace quietpass::test {

struct Described {
    HttpClient& client;
    nlohmann::json api;

    explicit Described(HttpClient& asks) : client(asks), api(asks.get("/api/v1/openapi.json").json()) {}

    void check(const Reply& reply, const std::string& route, const std::string& method) const {
        INFO(method << " " << route << " " << reply.status << " " << reply.body.substr(0, 500));
        const nlohmann::json& responses = api["paths"][route][method]["responses"];
        const std::string status = std::to_string(reply.status);
        REQUIRE(responses.contains(status));
        if (!responses[status].contains("content")) {
            CHECK(reply.body.empty());
            return;
        }
        const nlohmann::json& contents = responses[status]["content"];
        REQUIRE(contents.contains(reply.headers.at("content-type")));
        const nlohmann::json& described = contents[reply.headers.at("content-type")];
        if (reply.headers.at("content-type") == "application/json")
            CHECK(fault_of(reply.json(), described["schema"], api) == "");
    }
    nlohmann::json get(const std::string& route, const std::string& path) const {
        const Reply reply = client.get("/api/v1" + path);
        check(reply, route, "get");
        return is_json(reply) ? reply.json() : nlohmann::json();
    }
    nlohmann::json post(const std::string& route, const std::string& path,
                        const nlohmann::json& body = nlohmann::json::object()) const {
        const Reply reply = client.post("/api/v1" + path, body);
        check(reply, route, "post");
        return is_json(reply) ? reply.json() : nlohmann::json();
    }

  private:
    static bool is_json(const Reply& reply) {
        const auto type = reply.headers.find("content-type");
        return type != reply.headers.end() && type->second == "application/json" && !reply.body.empty();
    }
};

} // namespace quietpass::test
