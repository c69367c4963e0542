#include <unistd.h>

#include <atomic>
#include <future>
#include <vector>

#include "daemon/alarms/delivery/curl_transfer.h"
#include "daemon/checks/outside.h"
#include "daemon/failure.h"
#include "daemon/settings/secret_file.h"
#include "daemon/settings/web_address.h"

namespace quietpass {

namespace {

constexpr const char* kToDo =
    "look at its address, the network and the other side; `quietpass alarms test` "
    "sends one message";

// Opens the connection with all that belongs to it (TLS, login) and sends nothing. Empty: it was there.
std::string connect(CurlTransfer& transfer) {
    curl_easy_setopt(transfer.handle(), CURLOPT_CONNECT_ONLY, 1L);
    const CURLcode code = transfer.perform();
    return code == CURLE_OK ? std::string() : transfer.error(code);
}

std::string reach(const std::string& url, const std::string& ca_file, double within_s,
                  const std::string& proxy = "") {
    const std::atomic<bool> stop{false};
    CurlTransfer transfer(url, "http,https,telnet", ca_file, within_s, stop);
    if (!proxy.empty()) curl_easy_setopt(transfer.handle(), CURLOPT_PROXY, proxy.c_str());
    return connect(transfer);
}

struct Reach {
    double within_s;

    CheckLine operator()(const MailSettings& mail) const {
        const std::atomic<bool> stop{false};
        CurlTransfer transfer(mail.url, "smtp,smtps", mail.ca_file, within_s, stop);
        CURL* const curl = transfer.handle();
        curl_easy_setopt(curl, CURLOPT_USE_SSL, static_cast<long>(CURLUSESSL_ALL));
        if (!mail.login_file.empty()) {
            const Login login = read_login(mail.login_file);
            curl_easy_setopt(curl, CURLOPT_USERNAME, login.user.c_str());
            curl_easy_setopt(curl, CURLOPT_PASSWORD, login.password.c_str());
        }
        return line("the mail server", mail.url, connect(transfer));
    }
    CheckLine operator()(const WebhookSettings& webhook) const {
        read_signing_key(webhook.secret_file);
        const auto address = web_address_from(webhook.url);
        return line("the receiver", address ? address->place() : "its address",
                    reach(webhook.url, webhook.ca_file, within_s, webhook.proxy));
    }
    CheckLine operator()(const MqttSettings& mqtt) const {
        const std::string at = mqtt.host + ":" + std::to_string(mqtt.port);
        return line("the broker", mqtt.url,
                    reach((mqtt.tls ? "https://" : "telnet://") + at, mqtt.ca_file, within_s));
    }
    CheckLine operator()(const RelaySettings& relay) const {
        const auto* const coil = std::get_if<CoilAddress>(&relay.line);
        if (coil == nullptr) {
            return {CheckState::kLook, "", relay.output + " is not tried here",
                    "switch the lamp by `quietpass alarms test`"};
        }
        return line("the output module", relay.output,
                    reach("telnet://" + coil->host + ":" + std::to_string(coil->port), "", within_s));
    }
    CheckLine operator()(const CommandSettings& command) const {
        if (access(command.program.c_str(), X_OK) == 0)
            return {CheckState::kGood, "", command.program + " can be run", ""};
        return {CheckState::kBad, "", command.program + " can't be run by this user",
                "chmod +x, or name another"};
    }

    static CheckLine line(const char* who, const std::string& where, const std::string& trouble) {
        if (trouble.empty()) return {CheckState::kGood, "", std::string(who) + " answers at " + where, ""};
        return {CheckState::kBad, "", where + ": " + trouble, kToDo};
    }
};

} // namespace

CheckLines check_deliveries(const StationSettings& settings, double within_s) {
    if (settings.deliveries.empty()) {
        return {{CheckState::kLook, "alarms", "nobody is told of them",
                 "name a receiver in [[delivery]] of the station file"}};
    }
    std::vector<std::future<CheckLine>> tried;
    for (const DeliverySettings& delivery : settings.deliveries) {
        tried.push_back(std::async(std::launch::async, [&delivery, within_s] {
            CheckLine line;
            try {
                line = std::visit(Reach{within_s}, delivery.to);
            } catch (const std::exception& wrong) {
                line = {CheckState::kBad, "", wrong.what(), kToDo};
            }
            line.what = "alarms to " + delivery.name;
            return line;
        }));
    }
    CheckLines lines;
    for (auto& one : tried) lines.push_back(one.get());
    return lines;
}

CheckLines check_page(const StationSettings& settings, double within_s) {
    const PageSettings& page = settings.page;
    if (!page.on) return {{CheckState::kLook, "page", "not served", "[page] in the station file serves it"}};
    if (page.port == 0)
        return {{CheckState::kLook, "page", "on any free port, see the log", "give it a port"}};
    const std::string host = page.address == "0.0.0.0" || page.address == "::" ? "127.0.0.1" : page.address;
    const std::string at =
        (host.find(':') == std::string::npos ? host : "[" + host + "]") + ":" + std::to_string(page.port);
    const std::string trouble = reach("telnet://" + at, "", within_s);
    if (trouble.empty()) return {{CheckState::kGood, "page", "answers at " + at, ""}};
    return {{CheckState::kBad, "page", at + ": " + trouble, "see the log of `quietpass run`"}};
}

} // namespace quietpass
