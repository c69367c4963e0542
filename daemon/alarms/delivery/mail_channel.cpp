#include "daemon/alarms/delivery/mail_channel.h"

#include <cstring>

#include "daemon/alarms/delivery/mail_text.h"

namespace quietpass {

namespace {

struct Reading {
    const std::string& text;
    std::size_t at = 0;
};

size_t read_text(char* into, size_t size, size_t count, void* from) {
    auto& reading = *static_cast<Reading*>(from);
    const std::size_t bytes = std::min(size * count, reading.text.size() - reading.at);
    std::memcpy(into, reading.text.data() + reading.at, bytes);
    reading.at += bytes;
    return bytes;
}

struct FreeList {
    void operator()(curl_slist* list) const { curl_slist_free_all(list); }
};

} // namespace

MailChannel::MailChannel(MailSettings settings, std::string to, std::optional<Login> login, double within_s)
    : settings_(std::move(settings)), to_(std::move(to)), login_(std::move(login)), within_s_(within_s) {}

std::string MailChannel::place() const {
    return to_ + " by " + settings_.url;
}

HandOver MailChannel::hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) {
    const std::string text = mail_text(message, settings_.from, to_);
    Reading reading{text};
    const std::unique_ptr<curl_slist, FreeList> recipients(
        curl_slist_append(nullptr, ("<" + to_ + ">").c_str()));
    open_ = std::make_unique<CurlTransfer>(settings_.url, "smtp,smtps", settings_.ca_file, within_s_, stop);
    CURL* const curl = open_->handle();
    curl_easy_setopt(curl, CURLOPT_USE_SSL, static_cast<long>(CURLUSESSL_ALL));
    if (login_) {
        curl_easy_setopt(curl, CURLOPT_USERNAME, login_->user.c_str());
        curl_easy_setopt(curl, CURLOPT_PASSWORD, login_->password.c_str());
    }
    curl_easy_setopt(curl, CURLOPT_MAIL_FROM, ("<" + settings_.from + ">").c_str());
    curl_easy_setopt(curl, CURLOPT_MAIL_RCPT, recipients.get());
    curl_easy_setopt(curl, CURLOPT_UPLOAD, 1L);
    curl_easy_setopt(curl, CURLOPT_READFUNCTION, read_text);
    curl_easy_setopt(curl, CURLOPT_READDATA, static_cast<void*>(&reading));
    const CURLcode code = open_->perform();
    if (code == CURLE_OK) return HandOver::done("SMTP " + std::to_string(open_->response_code()));
    const long reply = open_->response_code();
    // The server's no to a sender, a recipient or a text, as against a line that broke or a login that
    // failed.
    const bool refused = reply >= 400 && (code == CURLE_SEND_ERROR || code == CURLE_RECV_ERROR ||
                                          code == CURLE_WEIRD_SERVER_REPLY);
    return refused ? HandOver::refused(open_->error(code) + " (SMTP " + std::to_string(reply) + ")")
                   : HandOver::unreachable(open_->error(code));
}

void MailChannel::rest() {
    open_.reset();
}

} // namespace quietpass
