// `quietpass alarms test` as a user runs it, with receivers on loopback.

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <string>

#include "tests/alarms/delivery/coil_device.h"
#include "tests/alarms/delivery/http_receiver.h"
#include "tests/alarms/delivery/smtp_receiver.h"
#include "tests/end_to_end/program.h"

using namespace quietpass::test;

namespace {

struct Site {
    Site()
        : identity(make_tls_identity(folder / "tls", "127.0.0.1")),
          mail(identity, SmtpReceiver::Tls::kByStartTls) {
        secret("login", "stockman\nhush hush\n");
        secret("key", "hush-0123456789abcdef\n");
        std::string text = text_of(testdata() / "demo/station.toml");
        text += "\n[[delivery]]\nkind = \"mail\"\nname = \"stockmen\"\nurl = \"" + mail.url() +
                "\"\nfrom = \"quietpass@plant.example\"\nto = [\"a@plant.example\", \"b@plant.example\"]\n"
                "login_file = \"login\"\nca_file = \"" +
                identity.authority + "\"\n";
        text += "[[delivery]]\nkind = \"webhook\"\nname = \"office\"\nurl = \"" +
                web.url("/hook?token=hush") + "\"\nsecret_file = \"key\"\ncauses = [\"call_after_stun\"]\n";
        text +=
            "[[delivery]]\nkind = \"relay\"\nname = \"lamp\"\ntest_for_s = 0.1\noutput = "
            "\"modbus://127.0.0.1:" +
            std::to_string(device.port()) + "/unit/1/coil/3\"\n";
        text += "[[delivery]]\nkind = \"command\"\nname = \"pager\"\nprogram = \"/bin/true\"\n";
        write_text(folder / "station.toml", text);
    }
    void secret(const std::string& name, const std::string& text) const {
        write_text(folder / name, text);
        chmod((folder / name).c_str(), 0600);
    }
    Outcome test(const std::vector<std::string>& more = {}) const {
        std::vector<std::string> words = {quietpass_program(),
                                          "alarms",
                                          "test",
                                          "--station",
                                          (folder / "station.toml").string(),
                                          "--out",
                                          (folder / "out").string()};
        words.insert(words.end(), more.begin(), more.end());
        return run_program(words);
    }

    TestFolder folder;
    TlsIdentity identity;
    HttpReceiver web;
    SmtpReceiver mail;
    CoilDevice device;
};

} // namespace

TEST_CASE("alarms test sends a message to each channel and says what became of it", "[alarms]") {
    Site site;
    const Outcome outcome = site.test();
    INFO(outcome.err);
    CHECK(outcome.exit_code == 0);
    const auto lines = lines_of(outcome.out);
    REQUIRE(lines.size() == 5);
    for (const std::string& line : lines) CHECK(line.find("  done  ") != std::string::npos);
    CHECK(lines[0].starts_with("stockmen/a@plant.example"));
    CHECK(lines[3].find("switched on and off") != std::string::npos);
    CHECK(site.mail.acknowledged().size() == 1); // the same message to both
    CHECK(site.mail.mails().size() == 2);
    CHECK(site.mail.mails()[0].header("Subject").find("Test of the alarms") != std::string::npos);
    REQUIRE(site.web.requests().size() == 1);
    CHECK(site.web.requests()[0].body.find("\"event\":\"test\"") != std::string::npos);
    CHECK(site.device.writes() >= 2);
    CHECK_FALSE(site.device.coil(3));
    CHECK((outcome.out + outcome.err).find("hush") == std::string::npos);
}

TEST_CASE("alarms test names the channels that failed, tells why, and exits 1", "[alarms]") {
    Site site;
    site.web.answer(500);
    site.device.kill();
    const Outcome outcome = site.test();
    CHECK(outcome.exit_code == 1);
    CHECK(outcome.out.find("answered HTTP 500") != std::string::npos);
    CHECK(outcome.out.find("refused: another port there, or Modbus switched off") != std::string::npos);
    CHECK(lines_of(outcome.err).size() == 1);
    CHECK(outcome.err.find("alarms test: not taken by office, lamp;") != std::string::npos);
    CHECK((outcome.out + outcome.err).find("hush") == std::string::npos);
    // One channel by its name; a mail's stands for all its people.
    const Outcome one = site.test({"--channel", "stockmen"});
    CHECK(one.exit_code == 0);
    CHECK(lines_of(one.out).size() == 2);
}

TEST_CASE("alarms test stops with exit 2 at a channel that isn't there and a secret that is open",
          "[alarms]") {
    Site site;
    const Outcome unknown = site.test({"--channel", "fax"});
    CHECK(unknown.exit_code == 2);
    CHECK(unknown.err.find("--channel fax: is not in") != std::string::npos);
    CHECK(unknown.err.find("lamp, pager") != std::string::npos);
    chmod((site.folder / "login").c_str(), 0644);
    const Outcome open = site.test();
    CHECK(open.exit_code == 2);
    CHECK(open.err.find("login: holds a secret and is open to others; run chmod 600 on it") !=
          std::string::npos);
    CHECK(site.mail.mails().empty());
}
