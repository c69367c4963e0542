// A mail server that really speaks TLS and keeps each mail. Tests only; thread-safe.
#pragma once

#include <atomic>
#include <condition_variable>
#include <map>
#include <mutex>
#include <string>
#include <vector>

#include "tests/alarms/delivery/line_server.h"

namespace quietpass::test {

struct ReceivedMail {
    std::string from;
    std::string to;
    std::string login; // "user password", decoded; empty without one
    std::string text;  // as it came, lines ended by LF
    bool acknowledged = false;

    std::string header(const std::string& name) const; // unfolded; empty when it isn't there
    std::string body() const;                          // decoded from base64
};

class SmtpReceiver {
  public:
    enum class Tls { kFromTheStart, kByStartTls, kNever };
    // What it does when the text is there.
    enum class Mood { kAnswer, kHang, kDieUnanswered };

    SmtpReceiver(TlsIdentity identity, Tls tls);

    std::string url() const;
    int port() const { return server_.port(); }
    void kill() { server_.kill(); }
    void start() { server_.start(); }

    void be(Mood mood) { mood_.store(mood); }  // kDieUnanswered: once
    void refuse(const std::string& recipient); // 550
    void hang_at_quit(bool on) { hang_at_quit_.store(on); }

    std::vector<ReceivedMail> mails() const;
    // Message-IDs of what it acknowledged, each as often as it did.
    std::map<std::string, int> acknowledged() const;
    bool await_acknowledged(std::size_t ids) const;                // false after a minute
    bool saw_plain_text() const { return saw_plain_text_.load(); } // MAIL or AUTH before TLS

  private:
    void serve(Conversation& conversation);
    bool take_mail(Conversation& conversation, ReceivedMail mail);

    TlsIdentity identity_;
    Tls tls_;
    std::atomic<Mood> mood_{Mood::kAnswer};
    std::atomic<bool> hang_at_quit_{false};
    std::atomic<bool> saw_plain_text_{false};
    mutable std::mutex mutex_;
    mutable std::condition_variable came_;
    std::vector<ReceivedMail> mails_; // under mutex_
    std::string refused_;             // under mutex_
    LineServer server_;               // last: its threads use the others
};

} // namespace quietpass::test
