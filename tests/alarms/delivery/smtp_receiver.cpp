#include "tests/alarms/delivery/smtp_receiver.h"

#include <openssl/evp.h>

#include <algorithm>
#include <chrono>

namespace quietpass::test {

namespace {

constexpr std::chrono::minutes kMailPatience{1};

std::string from_base64(std::string text) {
    std::erase_if(text, [](char c) { return c == '\n' || c == '\r'; });
    std::string bytes(text.size() / 4 * 3 + 3, '\0');
    const int size =
        EVP_DecodeBlock(reinterpret_cast<unsigned char*>(bytes.data()),
                        reinterpret_cast<const unsigned char*>(text.data()), static_cast<int>(text.size()));
    const auto padding = std::count(text.begin(), text.end(), '=');
    bytes.resize(static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, size - padding)));
    return bytes;
}

std::string between(const std::string& text, char open, char close) {
    const std::size_t from = text.find(open);
    const std::size_t to = text.find(close, from + 1);
    return from == std::string::npos || to == std::string::npos ? text : text.substr(from + 1, to - from - 1);
}

std::map<std::string, int> acknowledged_of(const std::vector<ReceivedMail>& mails) {
    std::map<std::string, int> ids;
    for (const ReceivedMail& mail : mails) {
        if (mail.acknowledged) ++ids[mail.header("Message-ID")];
    }
    return ids;
}

} // namespace

std::string ReceivedMail::header(const std::string& name) const {
    std::string value;
    bool inside = false;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t end = text.find('\n', from);
        const std::string line = text.substr(from, end - from);
        from = end + 1;
        if (line.empty()) break;
        if (inside && line.starts_with(' ')) {
            value += line;
        } else {
            inside = line.starts_with(name + ":");
            if (inside) value += line.substr(std::min(name.size() + 2, line.size()));
        }
    }
    return value;
}

std::string ReceivedMail::body() const {
    return from_base64(text.substr(text.find("\n\n") + 2));
}

SmtpReceiver::SmtpReceiver(TlsIdentity identity, Tls tls)
    : identity_(std::move(identity)),
      tls_(tls),
      server_([this](Conversation& conversation) { serve(conversation); },
              tls == Tls::kFromTheStart ? std::optional(identity_) : std::nullopt) {}

std::string SmtpReceiver::url() const {
    return (tls_ == Tls::kFromTheStart ? "smtps://127.0.0.1:" : "smtp://127.0.0.1:") +
           std::to_string(server_.port());
}

void SmtpReceiver::refuse(const std::string& recipient) {
    const std::lock_guard lock(mutex_);
    refused_ = recipient;
}

void SmtpReceiver::serve(Conversation& conversation) {
    bool safe = tls_ == Tls::kFromTheStart;
    ReceivedMail mail;
    if (!conversation.say("220 test ESMTP\r\n")) return;
    while (const auto line = conversation.line()) {
        const std::string verb = line->substr(0, 4);
        if (!safe && (verb == "MAIL" || verb == "AUTH")) saw_plain_text_.store(true);
        if (verb == "EHLO") {
            const bool offers = !safe && tls_ == Tls::kByStartTls;
            conversation.say(offers ? "250-test\r\n250 STARTTLS\r\n" : "250-test\r\n250 AUTH PLAIN\r\n");
        } else if (verb == "STAR") {
            conversation.say("220 go\r\n");
            if (!conversation.start_tls(identity_)) return;
            safe = true;
        } else if (verb == "AUTH") {
            std::string login = line->size() > 11 ? line->substr(11) : "";
            if (login.empty()) {
                conversation.say("334 \r\n");
                login = conversation.line().value_or("");
            }
            mail.login = from_base64(login);
            if (mail.login.empty()) return; // the line broke off in the login
            mail.login.erase(0, 1);
            std::replace(mail.login.begin(), mail.login.end(), '\0', ' ');
            conversation.say("235 yes\r\n");
        } else if (verb == "MAIL") {
            mail.from = between(*line, '<', '>');
            conversation.say("250 yes\r\n");
        } else if (verb == "RCPT") {
            mail.to = between(*line, '<', '>');
            const std::lock_guard lock(mutex_);
            conversation.say(mail.to == refused_ ? "550 no such person\r\n" : "250 yes\r\n");
        } else if (verb == "DATA") {
            conversation.say("354 go\r\n");
            if (!take_mail(conversation, mail)) return;
        } else if (verb == "QUIT") {
            if (hang_at_quit_.load()) conversation.hang();
            conversation.say("221 bye\r\n");
            return;
        } else {
            conversation.say("500 what\r\n");
        }
    }
}

bool SmtpReceiver::take_mail(Conversation& conversation, ReceivedMail mail) {
    for (auto line = conversation.line();; line = conversation.line()) {
        if (!line) return false;
        if (*line == ".") break;
        mail.text += line->starts_with('.') ? line->substr(1) : *line;
        mail.text += '\n';
    }
    const Mood mood = mood_.load();
    // An answer that a kill kept from leaving was none.
    mail.acknowledged = mood == Mood::kAnswer && conversation.say("250 have it\r\n");
    if (mood == Mood::kDieUnanswered) {
        mood_.store(Mood::kAnswer);
        server_.die();
    }
    {
        const std::lock_guard lock(mutex_);
        mails_.push_back(mail);
    }
    came_.notify_all();
    if (mood == Mood::kHang) conversation.hang();
    return mail.acknowledged;
}

std::vector<ReceivedMail> SmtpReceiver::mails() const {
    const std::lock_guard lock(mutex_);
    return mails_;
}

std::map<std::string, int> SmtpReceiver::acknowledged() const {
    return acknowledged_of(mails());
}

bool SmtpReceiver::await_acknowledged(std::size_t ids) const {
    std::unique_lock lock(mutex_);
    return came_.wait_for(lock, kMailPatience, [&] { return acknowledged_of(mails_).size() >= ids; });
}

} // namespace quietpass::test
