#include <catch2/catch.hpp>

#include "daemon/settings/station_file.h"
#include "tests/settings/station_texts.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::string with_contact(const std::string& keys) {
    return with(kLeast, "role = \"entered\"\n", "role = \"entered\"\n" + keys);
}

} // namespace

TEST_CASE("a contact's hold, offset and login are read, and have defaults", "[settings]") {
    const TestFolder folder;
    const ContactSettings least = read_station_file(folder.write("s.toml", kLeast)).contacts.at(0);
    CHECK(least.hold_s == 0.0);
    CHECK(least.offset_s == 0.0);
    CHECK(least.login_file.empty());
    const std::string text = with_contact(
        "input = \"mqtt://192.0.2.7/gate\"\nlogin_file = \"secrets/mqtt\"\nhold_ms = 300\noffset_ms = "
        "-40\n");
    const ContactSettings all = read_station_file(folder.write("t.toml", text)).contacts.at(0);
    CHECK(all.hold_s == Approx(0.300));
    CHECK(all.offset_s == Approx(-0.040));
    CHECK(all.login_file == folder.path("secrets/mqtt"));
    CHECK(all.ca_file.empty());
    const ContactSettings secret =
        read_station_file(folder.write("u.toml", with_contact("input = \"mqtts://192.0.2.7/gate\"\nca_file = "
                                                              "\"ca.pem\"\n")))
            .contacts.at(0);
    CHECK(secret.ca_file == folder.path("ca.pem"));
}

TEST_CASE("each mistake in a contact's keys is named with its line", "[settings]") {
    CHECK(failure_of(with_contact("hold_ms = -1\n")) ==
          "s.toml:11: contact.hold_ms: expected a number of milliseconds from 0 to 60000, found -1");
    CHECK(failure_of(with_contact("offset_ms = 5001\n")) ==
          "s.toml:11: contact.offset_ms: expected a number of milliseconds from -5000 to 5000, found 5001");
    CHECK(failure_of(with_contact("login_file = \"p\"\n")) ==
          "s.toml:11: contact.login_file: expected an input that begins with mqtt:// or mqtts:// with it");
    CHECK(failure_of(with_contact("input = \"mqtt://192.0.2.7/gate\"\nca_file = \"p\"\n")) ==
          "s.toml:12: contact.ca_file: expected an input that begins with mqtts:// with it");
    CHECK(failure_of(with_contact("input = \"gpio:gpiochip0\"\n")) ==
          "s.toml:11: contact.input: expected gpio:CHIP/LINE (or gpio:CHIP/LINE/pull-up, …/pull-down, "
          "…/no-bias), found \"gpio:gpiochip0\"");
    CHECK(failure_of(with_contact("input = \"plc-3\"\n")) ==
          "s.toml:11: contact.input: expected an address that begins with modbus://, modbus+rtu:, gpio:, "
          "mqtt://, mqtts:// or line: (see deploy/station.md), found \"plc-3\"");
}

TEST_CASE("one input can't be two contacts, however it is spelled", "[settings]") {
    const std::string second = "[[contact]]\nrole = \"stunned\"\ninput = ";
    CHECK(failure_of(with_contact("input = \"mqtt://192.0.2.7/gate\"\n") + second +
                     "\"mqtt://192.0.2.7:1883/gate\"\n") ==
          "s.toml:17: contact.input: is the input of contact \"entered\" already");
    CHECK(failure_of(with_contact("input = \"gpio:c/1\"\n") + second + "\"gpio:c/1/pull-up\"\n") ==
          "s.toml:17: contact.input: is the input of contact \"entered\" already");
    CHECK(failure_of(with_contact("input = \"line:/dev/ttyS0/input/a\"\n") + second +
                     "\"line:/dev/ttyS0:115200/input/a\"\n") ==
          "s.toml:17: contact.input: is the input of contact \"entered\" already");
}
