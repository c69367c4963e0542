// Asks a real server as a browser would: by libcurl, with a jar of cookies of its own. Tests only; one
// thread.
#pragma once

#include <curl/curl.h>

#include <map>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace quietpass::test {

struct Reply {
    long status = 0;                            // 0: no answer
    std::map<std::string, std::string> headers; // names in lower case
    std::string body;

    nlohmann::json json() const { return nlohmann::json::parse(body); }
};

class HttpClient {
  public:
    using Headers = std::vector<std::string>; // "Name: value"

    // from: the address of this machine that it comes from, as 127.0.0.2; empty: any.
    explicit HttpClient(std::string base, std::string from = "", std::string trusted = "")
        : base_(std::move(base)),
          from_(std::move(from)),
          trusted_(std::move(trusted)),
          curl_(curl_easy_init()) {}
    ~HttpClient() { curl_easy_cleanup(curl_); }
    HttpClient(const HttpClient&) = delete;
    HttpClient& operator=(const HttpClient&) = delete;

    Reply get(const std::string& path, const Headers& headers = {}) {
        return ask("GET", path, nullptr, headers);
    }
    Reply head(const std::string& path) { return ask("HEAD", path, nullptr, {}); }
    // With the token of the last login.
    Reply post(const std::string& path, const nlohmann::json& body = nlohmann::json::object(),
               Headers headers = {}) {
        if (!token.empty()) headers.push_back("X-Quietpass-Token: " + token);
        headers.emplace_back("Content-Type: application/json");
        const std::string text = body.dump();
        return ask("POST", path, &text, headers);
    }
    Reply log_in(const std::string& name, const std::string& password) {
        token.clear();
        Reply reply = post("/api/v1/login", {{"name", name}, {"password", password}});
        if (reply.status == 200) {
            token = reply.json()["token"];
            const std::string& set = reply.headers["set-cookie"];
            cookie = set.substr(0, set.find(';'));
        }
        return reply;
    }
    Reply ask(const char* method, const std::string& path, const std::string* body, const Headers& headers) {
        Reply reply;
        curl_easy_reset(curl_);
        set(CURLOPT_URL, (base_ + path).c_str());
        set(CURLOPT_NOSIGNAL, 1L);
        set(CURLOPT_TIMEOUT, 60L);
        set(CURLOPT_PATH_AS_IS, 1L);
        if (!from_.empty()) set(CURLOPT_INTERFACE, from_.c_str());
        if (!trusted_.empty()) set(CURLOPT_CAINFO, trusted_.c_str());
        if (std::string(method) == "HEAD")
            set(CURLOPT_NOBODY, 1L);
        else
            set(CURLOPT_CUSTOMREQUEST, method);
        if (body != nullptr) {
            set(CURLOPT_POSTFIELDSIZE, static_cast<long>(body->size()));
            set(CURLOPT_COPYPOSTFIELDS, body->c_str());
        }
        curl_slist* list = nullptr;
        for (const std::string& header : headers) list = curl_slist_append(list, header.c_str());
        if (!cookie.empty()) list = curl_slist_append(list, ("Cookie: " + cookie).c_str());
        set(CURLOPT_HTTPHEADER, list);
        set(
            CURLOPT_WRITEFUNCTION, +[](char* bytes, std::size_t one, std::size_t many, void* to) {
                static_cast<Reply*>(to)->body.append(bytes, one * many);
                return one * many;
            });
        set(CURLOPT_WRITEDATA, &reply);
        set(
            CURLOPT_HEADERFUNCTION, +[](char* bytes, std::size_t one, std::size_t many, void* to) {
                std::string line(bytes, one * many);
                const std::size_t mark = line.find(": ");
                if (mark != std::string::npos) {
                    std::string name = line.substr(0, mark);
                    for (char& letter : name) letter = static_cast<char>(std::tolower(letter));
                    static_cast<Reply*>(to)->headers[name] = line.substr(mark + 2, line.size() - mark - 4);
                }
                return one * many;
            });
        set(CURLOPT_HEADERDATA, &reply);
        if (curl_easy_perform(curl_) == CURLE_OK)
            curl_easy_getinfo(curl_, CURLINFO_RESPONSE_CODE, &reply.status);
        curl_slist_free_all(list);
        return reply;
    }

    std::string token;
    std::string cookie; // "quietpass_session=…"

  private:
    template <typename Value>
    void set(CURLoption option, Value value) {
        if (curl_easy_setopt(curl_, option, value) != CURLE_OK) throw std::runtime_error("curl option");
    }

    std::string base_;
    std::string from_;
    std::string trusted_;
    CURL* curl_;
};

} // namespace quietpass::test
