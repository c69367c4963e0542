#include <catch2/catch.hpp>
#include <map>
#include <string>

#include "daemon/alarms/delivery/mail_channel.h"
#include "tests/alarms/delivery/delivery_rig.h"
#include "tests/alarms/delivery/sample_message.h"
#include "tests/alarms/delivery/smtp_receiver.h"

using namespace quietpass;
using namespace quietpass::test;
using Tls = SmtpReceiver::Tls;

namespace {

struct Post {
    explicit Post(Tls tls)
        : identity(make_tls_identity(rig.folder / "tls", "127.0.0.1")), server(identity, tls) {}

    DeliveryPlan lane(const std::string& to, double within_s = 20.0) {
        MailSettings settings;
        settings.url = server.url();
        settings.from = "quietpass@plant.example";
        settings.ca_file = ca_file.empty() ? identity.authority : ca_file;
        return quick_plan("mail/" + to, std::make_unique<MailChannel>(
                                            settings, to, Login{"stockman", "hush hush"}, within_s));
    }

    DeliveryRig rig;
    TlsIdentity identity;
    std::string ca_file;
    SmtpReceiver server;
};

} // namespace

TEST_CASE("a mail goes out over TLS, with the login, a subject in any letters and a stable Message-ID",
          "[delivery]") {
    const Tls tls = GENERATE(Tls::kFromTheStart, Tls::kByStartTls);
    Post post(tls);
    post.rig.start(post.lane("stockman@plant.example"));
    AlarmMessage message = sample_message("m-1");
    message.headline = "Ruf nach Betäubung";
    post.rig.delivery->put(message);
    REQUIRE(post.server.await_acknowledged(1));
    REQUIRE(post.rig.await_all_done());
    const ReceivedMail mail = post.server.mails().at(0);
    CHECK(mail.from == "quietpass@plant.example");
    CHECK(mail.to == "stockman@plant.example");
    CHECK(mail.login == "stockman hush hush");
    CHECK(mail.header("Message-ID") == "<m-1@plant.example>");
    CHECK(mail.header("Subject") == "=?UTF-8?B?Ym94LTI6IFJ1ZiBuYWNoIEJldMOkdWJ1bmc=?=");
    CHECK(mail.body().starts_with("An animal called after the stun. A trained person checks it now."));
    CHECK_FALSE(post.server.saw_plain_text());
    CHECK(post.rig.log().find("hush") == std::string::npos);
}

TEST_CASE("a server without TLS, or with another's certificate, gets neither login nor mail", "[delivery]") {
    const Tls tls = GENERATE(Tls::kFromTheStart, Tls::kByStartTls, Tls::kNever);
    Post post(tls);
    post.ca_file = make_tls_identity(post.rig.folder / "other", "127.0.0.1").authority;
    post.rig.start(post.lane("stockman@plant.example"));
    post.rig.delivery->put(sample_message("m-1"));
    REQUIRE(await([&] { return !post.rig.delivery->states()[0].error.empty(); }));
    CHECK(post.rig.waiting() == 1);
    CHECK(post.server.mails().empty());
    CHECK_FALSE(post.server.saw_plain_text());
    CHECK(post.rig.log().find("hush") == std::string::npos);
}

TEST_CASE("an address that the server refuses keeps the mail from nobody else", "[delivery]") {
    Post post(Tls::kFromTheStart);
    post.server.refuse("gone@plant.example");
    post.rig.start(post.lane("gone@plant.example"), post.lane("stockman@plant.example"));
    post.rig.delivery->put(sample_message("m-1"));
    post.rig.delivery->put(sample_message("m-2"));
    REQUIRE(post.server.await_acknowledged(2));
    REQUIRE(await([&] { return post.rig.delivery->states()[0].error.find("550") != std::string::npos; }));
    CHECK(post.rig.delivery->states()[0].waiting == 2);
    REQUIRE(await([&] { return post.rig.delivery->states()[1].waiting == 0; }));
    CHECK(post.server.acknowledged() ==
          std::map<std::string, int>{{"<m-1@plant.example>", 1}, {"<m-2@plant.example>", 1}});
}

TEST_CASE("a mail server that hangs or dies before its 250 gets the same mail again", "[delivery]") {
    Post post(Tls::kFromTheStart);
    post.rig.start(post.lane("stockman@plant.example", 1.0));
    post.server.be(SmtpReceiver::Mood::kHang);
    post.rig.delivery->put(sample_message("m-1"));
    REQUIRE(await([&] { return !post.server.mails().empty(); }));
    post.server.be(SmtpReceiver::Mood::kAnswer);
    REQUIRE(post.server.await_acknowledged(1));
    REQUIRE(post.rig.await_all_done());

    const std::size_t before = post.server.mails().size();
    post.server.be(SmtpReceiver::Mood::kDieUnanswered);
    post.rig.delivery->put(sample_message("m-2"));
    REQUIRE(await([&] { return post.server.mails().size() > before; }));
    post.server.start();
    REQUIRE(post.server.await_acknowledged(2));
    REQUIRE(post.rig.await_all_done());
    CHECK(post.server.acknowledged() ==
          std::map<std::string, int>{{"<m-1@plant.example>", 1}, {"<m-2@plant.example>", 1}});
}

TEST_CASE("a server that hangs in its goodbye has the mail all the same, once", "[delivery]") {
    Post post(Tls::kFromTheStart);
    post.server.hang_at_quit(true);
    post.rig.start(post.lane("stockman@plant.example", 1.0));
    post.rig.delivery->put(sample_message("m-1"));
    REQUIRE(post.server.await_acknowledged(1));
    REQUIRE(post.rig.await_all_done());
    post.rig.delivery->put(sample_message("m-2"));
    REQUIRE(post.server.await_acknowledged(2));
    REQUIRE(post.rig.await_all_done());
    CHECK(post.server.mails().size() == 2);
}
