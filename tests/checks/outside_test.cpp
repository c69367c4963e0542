// What a check says of receivers of alarms and of certificates: against real servers on loopback and real
// files.

#include <sys/stat.h>

#include <catch2/catch.hpp>

#include "daemon/checks/outside.h"
#include "daemon/clock.h"
#include "daemon/web/tls_files.h"
#include "tests/alarms/delivery/coil_device.h"
#include "tests/alarms/delivery/http_receiver.h"
#include "tests/alarms/delivery/smtp_receiver.h"
#include "tests/test_folder.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

constexpr double kWithin_s = 5.0;
constexpr std::int64_t kDay_ns = 86'400'000'000'000;

// Files that only their owner reads.
std::string secret(const TestFolder& folder, const std::string& name, const std::string& text) {
    const std::string file = folder.write(name, text);
    chmod(file.c_str(), 0600);
    return file;
}

template <typename To>
StationSettings telling(const To& to) {
    StationSettings settings;
    DeliverySettings delivery;
    delivery.name = "there";
    delivery.to = to;
    settings.deliveries = {delivery};
    return settings;
}

CheckLine one_of(const StationSettings& settings) {
    const CheckLines lines = check_deliveries(settings, kWithin_s);
    REQUIRE(lines.size() == 1);
    INFO(lines[0].words);
    CHECK(lines[0].what == "alarms to there");
    CHECK(lines[0].to_do.empty() == (lines[0].state == CheckState::kGood));
    return lines[0];
}

} // namespace

TEST_CASE(
    "A mail server that answers is good, and gets no mail; one that is dead or of another name is bad") {
    const TestFolder folder;
    const TlsIdentity identity = make_tls_identity(folder.path(), "127.0.0.1");
    for (const auto tls : {SmtpReceiver::Tls::kFromTheStart, SmtpReceiver::Tls::kByStartTls}) {
        SmtpReceiver server(identity, tls);
        server.start();
        MailSettings mail;
        mail.url = server.url();
        mail.ca_file = identity.authority;
        mail.login_file = secret(folder, "login", "user\npassword\n");
        CHECK(one_of(telling(mail)).state == CheckState::kGood);
        CHECK(server.mails().empty());
        CHECK_FALSE(server.saw_plain_text());

        MailSettings untrusted = mail;
        untrusted.ca_file.clear();
        const CheckLine line = one_of(telling(untrusted));
        CHECK(line.state == CheckState::kBad);
        CHECK(line.words.find("password") == std::string::npos);
        server.kill();
        CHECK(one_of(telling(mail)).state == CheckState::kBad);
    }
    MailSettings mail;
    mail.url = "smtps://127.0.0.1:1";
    mail.login_file = folder.write("open", "user\npassword\n");
    chmod(mail.login_file.c_str(), 0644);
    CHECK(one_of(telling(mail)).words.find("open") != std::string::npos); // a secret that others may read
}

TEST_CASE("A webhook's receiver and an output module are good while they answer, and are sent nothing") {
    const TestFolder folder;
    HttpReceiver receiver;
    receiver.start();
    WebhookSettings webhook;
    webhook.url = receiver.url("/a/path/that/is/secret");
    webhook.secret_file = secret(folder, "key", "0123456789abcdef0123\n");
    const CheckLine good = one_of(telling(webhook));
    CHECK(good.state == CheckState::kGood);
    CHECK(good.words.find("secret") == std::string::npos);
    CHECK(receiver.requests().empty());
    receiver.kill();
    CHECK(one_of(telling(webhook)).state == CheckState::kBad);

    CoilDevice lamp;
    lamp.start();
    RelaySettings relay;
    relay.output = "modbus://127.0.0.1/coil";
    relay.line = CoilAddress{"127.0.0.1", lamp.port(), 1, 0};
    CHECK(one_of(telling(relay)).state == CheckState::kGood);
    CHECK(lamp.writes() == 0);
    lamp.kill();
    CHECK(one_of(telling(relay)).state == CheckState::kBad);

    CHECK(one_of(telling(CommandSettings{"/bin/true", {}})).state == CheckState::kGood);
    CHECK(one_of(telling(CommandSettings{folder / "nothing", {}})).state == CheckState::kBad);
    CHECK(check_deliveries({}, kWithin_s).at(0).state == CheckState::kLook);
}

TEST_CASE("A certificate is good, soon at its end, over, or not that of its key") {
    const TestFolder folder;
    const TestFolder other;
    StationSettings settings;
    settings.page.on = true;
    settings.page.tls = true;
    CHECK(check_certificate(settings, folder.path(), 0).at(0).state == CheckState::kLook); // none yet
    tls_files(settings.page, folder.path());
    const std::int64_t now_ns = RealClock().utc_ns();
    const auto at = [&](std::int64_t utc_ns) {
        const CheckLines lines = check_certificate(settings, folder.path(), utc_ns);
        REQUIRE(lines.size() == 1);
        return lines[0];
    };
    CHECK(at(now_ns).state == CheckState::kGood);
    const std::string words = at(now_ns).words; // "good for N more days"
    const std::int64_t days = std::stoll(words.substr(words.find_first_of("0123456789")));
    CHECK(at(now_ns + (days - 20) * kDay_ns).state == CheckState::kLook);
    const CheckLine over = at(now_ns + (days + 5) * kDay_ns);
    CHECK(over.state == CheckState::kBad);
    CHECK(over.words.find("ended") == 0);

    tls_files(settings.page, other.path());
    settings.page.certificate = folder / "key/page.crt";
    settings.page.key = other / "key/page.key";
    CHECK(at(now_ns).words == "certificate and key don't fit each other");
    settings.page.certificate = folder.write("none", "text");
    CHECK(at(now_ns).state == CheckState::kBad);
    settings.page.tls = false;
    CHECK(check_certificate(settings, folder.path(), now_ns).empty());
}
