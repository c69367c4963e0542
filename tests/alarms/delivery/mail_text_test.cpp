#include "daemon/alarms/delivery/mail_text.h"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "tests/alarms/delivery/sample_message.h"
#include "tests/alarms/delivery/smtp_receiver.h"

using namespace quietpass;
using test::ReceivedMail;
using test::sample_message;

namespace {

ReceivedMail mail_of(const AlarmMessage& message) {
    ReceivedMail mail;
    for (const char letter : mail_text(message, "quietpass@plant.example", "stockman@plant.example")) {
        if (letter != '\r') mail.text += letter;
    }
    return mail;
}

} // namespace

TEST_CASE("the same message is the same mail, and all mails of an alarm belong together", "[delivery]") {
    const ReceivedMail raised = mail_of(sample_message("box-2/7:raised"));
    const ReceivedMail again = mail_of(sample_message("box-2/7:again", "again"));
    CHECK(raised.text == mail_of(sample_message("box-2/7:raised")).text);
    CHECK(raised.header("Message-ID") == "<box-2=2F7=3Araised@plant.example>");
    CHECK(again.header("Message-ID") != raised.header("Message-ID"));
    CHECK(again.header("References") == raised.header("References"));
    CHECK(raised.header("Date") == "Mon, 2 Mar 2026 13:00:00 +0000");
    CHECK(raised.header("Importance") == "high");
    CHECK(mail_of(sample_message("x", "cleared")).header("Importance").empty());
}

TEST_CASE("a mail's text is what the alarm says, with its facts", "[delivery]") {
    AlarmMessage message = sample_message("m-1");
    message.text = "Das Tier hat gerufen. Jetzt prüft es eine geschulte Person.";
    CHECK(mail_of(message).body() ==
          "Das Tier hat gerufen. Jetzt prüft es eine geschulte Person.\n\nStation: box-2\n"
          "Time (UTC): 2026-03-02T13:00:00.250Z\nState: raised\nTimes: 2\n"
          "level_db: 71.5\npassage: 17\nMessage: m-1\n");
}

TEST_CASE("no line of a mail is longer than mail allows, and none is only a part of a letter", "[delivery]") {
    AlarmMessage message = sample_message("m-1");
    message.headline.clear();
    for (int i = 0; i < 40; ++i) message.headline += "Betäubung – 牛の鳴き声 ";
    const std::string text = mail_text(message, "a@plant.example", "b@plant.example");
    std::size_t from = 0;
    int words = 0;
    while (from < text.size()) {
        const std::size_t end = text.find("\r\n", from);
        REQUIRE(end != std::string::npos);
        std::string line = text.substr(from, end - from);
        CHECK(line.size() <= 76);
        CHECK(line.find('\n') == std::string::npos);
        if (const auto at = line.find("=?UTF-8?B?"); at != std::string::npos) {
            // Each encoded word is whole by itself (RFC 2047, 5).
            ReceivedMail word;
            word.text = "\n\n" + line.substr(at + 10, line.size() - at - 12);
            const std::string letters = word.body();
            CHECK((static_cast<unsigned char>(letters[0]) & 0xc0) != 0x80);
            ++words;
        }
        from = end + 2;
    }
    CHECK(words > 20);
}

TEST_CASE("nothing in a headline can make a header of its own", "[delivery]") {
    AlarmMessage message = sample_message("m-1");
    message.headline = "all well\r\nBcc: everyone@plant.example";
    CHECK(mail_of(message).header("Bcc").empty());
    CHECK(mail_of(message).header("Subject") == "box-2: all well  Bcc: everyone@plant.example");
}
