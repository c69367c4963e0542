#include "daemon/alarms/delivery/webhook_channel.h"

#include "daemon/alarms/delivery/curl_transfer.h"
#include "daemon/alarms/delivery/message_json.h"
#include "daemon/alarms/delivery/webhook_signature.h"
#include "daemon/build_facts.h"
#include "daemon/settings/web_address.h"

namespace quietpass {

namespace {

// Ids are ours and plain; this keeps whatever else from making a second header.
std::string header_word(std::string text) {
    for (char& letter : text) {
        if (static_cast<unsigned char>(letter) < 0x21 || static_cast<unsigned char>(letter) > 0x7e)
            letter = '_';
    }
    return text;
}

} // namespace

WebhookChannel::WebhookChannel(WebhookSettings settings, std::string key, double within_s, const Clock& clock)
    : settings_(std::move(settings)), key_(std::move(key)), within_s_(within_s), clock_(clock) {}

std::string WebhookChannel::place() const {
    const auto address = web_address_from(settings_.url);
    return address ? address->place() : "its address";
}

HandOver WebhookChannel::hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) {
    const std::string body = message_json(message);
    const std::int64_t utc_s = clock_.utc_ns() / 1'000'000'000;
    CurlTransfer transfer(settings_.url, "http,https", settings_.ca_file, within_s_, stop);
    transfer.add_header("Content-Type: application/json");
    transfer.add_header("Expect:"); // don't wait for a 100
    transfer.add_header("Quietpass-Id: " + header_word(message.id));
    transfer.add_header("Quietpass-Time: " + std::to_string(utc_s));
    transfer.add_header("Quietpass-Signature: v1=" + webhook_signature(key_, utc_s, body));
    CURL* const curl = transfer.handle();
    curl_easy_setopt(curl, CURLOPT_POST, 1L);
    curl_easy_setopt(curl, CURLOPT_POSTFIELDSIZE_LARGE, static_cast<curl_off_t>(body.size()));
    curl_easy_setopt(curl, CURLOPT_POSTFIELDS, body.data());
    curl_easy_setopt(curl, CURLOPT_USERAGENT, (std::string("quietpass/") + kVersion).c_str());
    curl_easy_setopt(curl, CURLOPT_FORBID_REUSE, 1L);
    if (!settings_.proxy.empty()) curl_easy_setopt(curl, CURLOPT_PROXY, settings_.proxy.c_str());

    const CURLcode code = transfer.perform();
    const long status = transfer.response_code();
    // The status line is the acknowledgement; what becomes of the rest of the answer is of no matter.
    if (status >= 200 && status < 300) return HandOver::done("HTTP " + std::to_string(status));
    if (code != CURLE_OK) return HandOver::unreachable(transfer.error(code));
    const std::string said = "answered HTTP " + std::to_string(status);
    // 5xx and 429 speak of the receiver, the others of the message or the address.
    return status >= 500 || status == 429 ? HandOver::unreachable(said) : HandOver::refused(said);
}

} // namespace quietpass
