#include "daemon/settings/delivery_tables.h"

#include <algorithm>
#include <filesystem>

#include "daemon/alarms/alarm_cause.h"
#include "daemon/settings/web_address.h"

namespace quietpass {

namespace {

constexpr std::string_view kSeconds = "a number of seconds";

std::string path_in(const DeliveryPlace& place, const std::string& path) {
    return path.empty() ? path : (std::filesystem::path(place.folder) / path).lexically_normal().string();
}

std::string file_or_none(StrictTable& table, const DeliveryPlace& place, std::string_view key,
                         std::string_view what) {
    return path_in(place, table.text_or(key, what, ""));
}

WebAddress address_of(StrictTable& table, std::string_view key, const std::string& url,
                      const std::vector<std::string_view>& schemes, std::string_view expected) {
    const auto address = web_address_from(url);
    if (!address || std::find(schemes.begin(), schemes.end(), address->scheme) == schemes.end()) {
        table.fail(key, "expected " + std::string(expected) + ", found \"" + url + "\"");
    }
    // Not repeated in the message: it is a secret.
    if (address->has_user) {
        table.fail(key, "expected no user and password in it; put them into a file of their own");
    }
    return *address;
}

std::string mail_address(StrictTable& table, std::string_view key, const std::string& text) {
    const std::size_t at = text.find('@');
    const bool plain = at != std::string::npos && at > 0 && at + 1 < text.size() &&
                       text.find('@', at + 1) == std::string::npos &&
                       text.find_first_of(" <>(),;:\\\"[]") == std::string::npos;
    if (!plain)
        table.fail(key, "expected a mail address like \"stockman@plant.example\", found \"" + text + "\"");
    return text;
}

MailSettings read_mail(StrictTable& table, const DeliveryPlace& place) {
    constexpr std::string_view kUrl =
        "\"smtps://host:465\" or \"smtp://host:587\" (which must offer STARTTLS)";
    MailSettings mail;
    mail.url = table.text("url", kUrl);
    const WebAddress address = address_of(table, "url", mail.url, {"smtp", "smtps"}, kUrl);
    if (address.path != "/")
        table.fail("url", "expected " + std::string(kUrl) + ", found \"" + mail.url + "\"");
    if (address.port == 0)
        mail.url = address.scheme + "://" + address.host + (address.scheme == "smtps" ? ":465" : ":587");
    mail.from = mail_address(table, "from", table.text("from", "the sender's mail address"));
    mail.to = table.texts("to", "a list of mail addresses");
    for (const std::string& to : mail.to) {
        mail_address(table, "to", to);
        if (std::count(mail.to.begin(), mail.to.end(), to) > 1) {
            table.fail("to", "expected each once, found \"" + to + "\" twice");
        }
    }
    mail.login_file = file_or_none(table, place, "login_file", "the path of a file with user and password");
    mail.ca_file = file_or_none(table, place, "ca_file", "the path of a file with certificates (PEM)");
    return mail;
}

WebhookSettings read_webhook(StrictTable& table, const DeliveryPlace& place) {
    constexpr std::string_view kUrl = "an address like \"https://host/path\"";
    WebhookSettings webhook;
    webhook.url = table.text("url", kUrl);
    address_of(table, "url", webhook.url, {"https", "http"}, kUrl);
    webhook.secret_file = path_in(
        place, table.text("secret_file", "the path of a file with the key that bodies are signed with"));
    webhook.ca_file = file_or_none(table, place, "ca_file", "the path of a file with certificates (PEM)");
    webhook.proxy = table.text_or("proxy", "the address of a proxy, like \"http://host:3128\"", "");
    if (!webhook.proxy.empty()) {
        address_of(table, "proxy", webhook.proxy, {"http", "https", "socks5", "socks5h"},
                   "the address of a proxy, like \"http://host:3128\"");
    }
    return webhook;
}

// A station's name as part of a topic or a client id.
std::string plain_word(std::string text) {
    std::replace_if(
        text.begin(), text.end(), [](char c) { return c == '+' || c == '#' || c == '/' || c == ' '; }, '_');
    return text;
}

MqttSettings read_mqtt(StrictTable& table, const DeliveryPlace& place, const std::string& name) {
    constexpr std::string_view kUrl = "\"mqtts://host:8883\" or \"mqtt://host:1883\"";
    MqttSettings mqtt;
    mqtt.url = table.text("url", kUrl);
    const WebAddress address = address_of(table, "url", mqtt.url, {"mqtt", "mqtts"}, kUrl);
    if (address.path != "/") {
        table.fail("url",
                   "expected " + std::string(kUrl) + " and the topic as topic, found \"" + mqtt.url + "\"");
    }
    mqtt.tls = address.scheme == "mqtts";
    mqtt.host = address.host;
    // libmosquitto takes an IPv6 address without its brackets.
    if (mqtt.host.starts_with('[')) mqtt.host = mqtt.host.substr(1, mqtt.host.size() - 2);
    mqtt.port = address.port > 0 ? address.port : (mqtt.tls ? 8883 : 1883);
    const std::string station = plain_word(place.station);
    mqtt.topic = table.text_or("topic", "a topic", "quietpass/" + station + "/alarms");
    if (mqtt.topic.find_first_of("+#") != std::string::npos) {
        table.fail("topic", "expected a topic without + and #, found \"" + mqtt.topic + "\"");
    }
    mqtt.client_id = table.text_or("client_id", "a client id, like no other client's of the broker",
                                   "quietpass-" + station + "-" + plain_word(name));
    mqtt.login_file = file_or_none(table, place, "login_file", "the path of a file with user and password");
    mqtt.ca_file = file_or_none(table, place, "ca_file", "the path of a file with certificates (PEM)");
    if (!mqtt.tls && table.has("ca_file")) table.fail("ca_file", "expected an mqtts:// address with it");
    return mqtt;
}

RelaySettings read_relay(StrictTable& table) {
    RelaySettings relay;
    relay.output = table.text("output", kRelayAddressForm);
    const auto address = relay_address_from(relay.output);
    if (!address) {
        table.fail("output",
                   "expected " + std::string(kRelayAddressForm) + ", found \"" + relay.output + "\"");
    }
    relay.line = *address;
    relay.inverted = table.flag_or("inverted", relay.inverted);
    relay.reassert_s = table.number_or("reassert_s", {0.0, 3600.0, kSeconds, true}, relay.reassert_s);
    relay.test_for_s = table.number_or("test_for_s", {0.0, 60.0, kSeconds, true}, relay.test_for_s);
    return relay;
}

CommandSettings read_command(StrictTable& table) {
    CommandSettings command;
    command.program = table.text("program", "the absolute path of a program");
    if (!std::filesystem::path(command.program).is_absolute()) {
        table.fail("program", "expected the absolute path of a program, found \"" + command.program + "\"");
    }
    command.arguments = table.texts_or_none("arguments", "a list of words");
    return command;
}

std::vector<std::string> words_of(StrictTable& table, std::string_view key,
                                  const std::vector<std::string_view>& words) {
    std::vector<std::string> result;
    for (const std::size_t index : table.words_or_none(key, words)) result.emplace_back(words[index]);
    return result;
}

} // namespace

void read_delivery(StrictTable& table, const DeliveryPlace& place,
                   std::vector<DeliverySettings>& deliveries) {
    DeliverySettings delivery;
    delivery.name = table.text("name", "a name of the channel");
    if (delivery.name.find_first_of(",\"'/") != std::string::npos) {
        table.fail("name",
                   "expected a name without commas, quotes and slashes, found \"" + delivery.name + "\"");
    }
    for (const DeliverySettings& other : deliveries) {
        if (other.name == delivery.name) table.fail("name", "a second delivery named \"" + other.name + "\"");
    }
    switch (table.word("kind", {"mail", "webhook", "mqtt", "relay", "command"})) {
        case 0:
            delivery.to = read_mail(table, place);
            break;
        case 1:
            delivery.to = read_webhook(table, place);
            break;
        case 2:
            delivery.to = read_mqtt(table, place, delivery.name);
            break;
        case 3:
            delivery.to = read_relay(table);
            break;
        default:
            delivery.to = read_command(table);
    }
    delivery.severities = words_of(table, "severities", {"at_once", "soon"});
    // A misspelt cause would be a channel that never says anything.
    std::vector<std::string_view> causes;
    for (const AlarmCause cause : kAlarmCauses) causes.push_back(name_of(cause));
    delivery.causes = words_of(table, "causes", causes);
    // A lamp needs every event to know what stands.
    if (!std::holds_alternative<RelaySettings>(delivery.to)) {
        delivery.events = words_of(table, "events", {"raised", "again", "acknowledged", "cleared"});
    }
    delivery.within_s = table.number_or("within_s", {0.1, 600.0, kSeconds}, delivery.within_s);
    delivery.first_retry_s =
        table.number_or("first_retry_s", {0.1, 3600.0, kSeconds}, delivery.first_retry_s);
    delivery.last_retry_s = table.number_or("last_retry_s", {delivery.first_retry_s, 86400.0, kSeconds},
                                            std::max(delivery.last_retry_s, delivery.first_retry_s));
    table.finish();
    deliveries.push_back(std::move(delivery));
}

void read_outbox(StrictTable& table, OutboxSettings& outbox) {
    outbox.keep_days = table.number_or("keep_days", {1.0, 3650.0, "a number of days"}, outbox.keep_days);
    table.finish();
}

} // namespace quietpass
