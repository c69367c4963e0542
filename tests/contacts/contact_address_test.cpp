#include "daemon/contacts/contact_address.h"

#include <catch2/catch.hpp>
#include <vector>

using namespace quietpass;

namespace {

template <typename Kind>
Kind read(const char* input) {
    const auto address = contact_address_from(input);
    INFO(input);
    REQUIRE(address);
    REQUIRE(std::holds_alternative<Kind>(*address));
    return std::get<Kind>(*address);
}

void check_none(const std::vector<const char*>& inputs) {
    for (const char* const input : inputs) {
        INFO(input);
        CHECK_FALSE(contact_address_from(input));
    }
}

} // namespace

TEST_CASE("a Modbus input is read part by part", "[contacts]") {
    const auto discrete = read<ModbusAddress>("modbus://192.0.2.10:1502/unit/17/discrete/65535");
    CHECK(discrete.host == "192.0.2.10");
    CHECK(discrete.port == 1502);
    CHECK(discrete.unit == 17);
    CHECK(discrete.table == ModbusTable::kDiscrete);
    CHECK(discrete.number == 65535);
    CHECK(discrete.source() == "modbus://192.0.2.10:1502/unit/17");

    const auto coil = read<ModbusAddress>("modbus://plc.example/unit/255/coil/0");
    CHECK(coil.host == "plc.example");
    CHECK(coil.port == 502);
    CHECK(coil.unit == 255);
    CHECK(coil.table == ModbusTable::kCoil);
}

TEST_CASE("a bit of a Modbus register is read part by part", "[contacts]") {
    const auto holding = read<ModbusAddress>("modbus://h/unit/1/holding/40/bit/15");
    CHECK(holding.table == ModbusTable::kHolding);
    CHECK(holding.number == 40);
    CHECK(holding.bit == 15);
    const auto input = read<ModbusAddress>("modbus://h/unit/1/input/7/bit/0");
    CHECK(input.table == ModbusTable::kInput);
    CHECK(input.number == 7);
}

TEST_CASE("an IPv6 address stands in brackets", "[contacts]") {
    const auto address = read<ModbusAddress>("modbus://[2001:db8::1]:1502/unit/1/discrete/3");
    CHECK(address.host == "2001:db8::1");
    CHECK(address.source() == "modbus://[2001:db8::1]:1502/unit/1");
}

TEST_CASE("a Modbus unit on a serial line is read with the line's settings", "[contacts]") {
    const auto plain = read<ModbusAddress>("modbus+rtu:/dev/ttyUSB0/unit/3/discrete/0");
    REQUIRE(plain.serial);
    CHECK(plain.serial->device == "/dev/ttyUSB0");
    CHECK(plain.serial->text() == "/dev/ttyUSB0:19200:8E1");
    CHECK(plain.unit == 3);
    const auto whole =
        read<ModbusAddress>("modbus+rtu:/dev/serial/by-id/usb-x-port0:9600:8N2/unit/247/coil/1");
    CHECK(whole.source() == "modbus+rtu:/dev/serial/by-id/usb-x-port0:9600:8N2");
    const auto by_path = read<ModbusAddress>(
        "modbus+rtu:/dev/serial/by-path/pci-0000:00:14.0-usb-0:1:1.0-port0:38400/unit/1/input/2/bit/3");
    CHECK(by_path.serial->device == "/dev/serial/by-path/pci-0000:00:14.0-usb-0:1:1.0-port0");
    CHECK(by_path.serial->baud == 38400);
    CHECK(by_path.bit == 3);
    CHECK(plain.serial->letter_s() == Approx(11.0 / 19200));
}

TEST_CASE("anything else is no Modbus input", "[contacts]") {
    check_none({"",
                "entered",
                "modbus:/",
                "modbus://",
                "modbus://:502/unit/1/discrete/0",
                "modbus://h",
                "modbus://h:/unit/1/discrete/0",
                "modbus://h:0/unit/1/discrete/0",
                "modbus://h:65536/unit/1/discrete/0",
                "modbus://h:-1/unit/1/discrete/0",
                "modbus://h:99999999999999999999/unit/1/discrete/0",
                "modbus://h:502/unit/248/discrete/0",
                "modbus://h:502/unit/256/discrete/0",
                "modbus://h:502/unit//discrete/0",
                "modbus://h:502/unit/1/register/0",
                "modbus://h:502/unit/1/discrete/",
                "modbus://h:502/unit/1/discrete/65536",
                "modbus://h:502/unit/1/discrete/-0",
                "modbus://h:502/unit/1/discrete/0x1",
                "modbus://h:502/unit/1/discrete/0/",
                "modbus://h:502/unit/1/discrete/0 ",
                " modbus://h:502/unit/1/discrete/0",
                "modbus://user@h:502/unit/1/discrete/0",
                "modbus://[::1:502/unit/1/discrete/0",
                "Modbus://h:502/unit/1/discrete/0",
                "modbus://h/unit/1/discrete/0/bit/1",
                "modbus://h/unit/1/holding/0",
                "modbus://h/unit/1/holding/0/bit/16",
                "modbus://h/unit/1/input/0/bit/",
                "modbus+rtu:ttyUSB0/unit/1/coil/0",
                "modbus+rtu:/dev/ttyUSB0/unit/0/coil/0",
                "modbus+rtu:/dev/ttyUSB0/unit/255/coil/0",
                "modbus+rtu:/dev/ttyUSB0:12345/unit/1/coil/0",
                "modbus+rtu:/dev/ttyUSB0:8E1/unit/1/coil/0",
                "modbus+rtu:/dev/ttyUSB0:9600:8X1/unit/1/coil/0",
                "modbus+rtu:/dev/ttyUSB0:9600:9N1/unit/1/coil/0",
                "modbus+rtu:/dev/tty USB0/unit/1/coil/0",
                "modbus+rtu:/dev/ttyUSB0"});
}

TEST_CASE("a GPIO line is read with its chip and bias", "[contacts]") {
    const auto plain = read<GpioAddress>("gpio:gpiochip0/17");
    CHECK(plain.chip == "gpiochip0");
    CHECK(plain.line == 17);
    CHECK(plain.bias == GpioBias::kAsIs);
    CHECK(plain.source() == "gpio:gpiochip0");
    CHECK(read<GpioAddress>("gpio:pinctrl-bcm2835/4/pull-up").bias == GpioBias::kPullUp);
    CHECK(read<GpioAddress>("gpio:c/0/pull-down").bias == GpioBias::kPullDown);
    CHECK(read<GpioAddress>("gpio:c/0/no-bias").bias == GpioBias::kNone);
    check_none({"gpio:3", "gpio:/3", "gpio:c/", "gpio:c/-1", "gpio:c/1/", "gpio:c/1/up", "gpio:a b/1"});
}

TEST_CASE("an MQTT topic is all that follows the broker", "[contacts]") {
    const auto plain = read<MqttAddress>("mqtt://192.0.2.7/plant/box 2/gate");
    CHECK(plain.host == "192.0.2.7");
    CHECK(plain.port == 1883);
    CHECK(plain.topic == "plant/box 2/gate");
    CHECK(plain.source() == "mqtt://192.0.2.7:1883");
    const auto other = read<MqttAddress>("mqtt://[::1]:8883//gate");
    CHECK(other.topic == "/gate");
    CHECK(other.source() == "mqtt://[::1]:8883");
    CHECK_FALSE(other.tls);
    const auto secret = read<MqttAddress>("mqtts://plant.example/gate");
    CHECK(secret.tls);
    CHECK(secret.source() == "mqtts://plant.example:8883");
    CHECK_FALSE(same_input(secret, read<MqttAddress>("mqtt://plant.example:8883/gate")));
    check_none({"mqtts://h", "mqttss://h/t", "mqtt://h", "mqtt://h/", "mqtt:///t", "mqtt://h:0/t",
                "mqtt://h/a/#", "mqtt://h/+/a", "mqtt://u:secret@h/t", "mqtt://user@h/t", "mqtt://h/a\nb"});
}

TEST_CASE("an input of a small controller is read over TCP and over a serial port", "[contacts]") {
    const auto tcp = read<LineAddress>("line://192.0.2.9:4001/input/gate.1");
    CHECK(tcp.host == "192.0.2.9");
    CHECK(tcp.port == 4001);
    CHECK(tcp.input == "gate.1");
    CHECK(tcp.source() == "line://192.0.2.9:4001");
    const auto serial = read<LineAddress>("line:/dev/ttyACM0/input/stun");
    CHECK(serial.source() == "line:/dev/ttyACM0:115200:8N1");
    CHECK(serial.input == "stun");
    check_none({"line://h/input/a", "line://h:0/input/a", "line://h:1/input/", "line://h:1/input/a b",
                "line://h:1/input/123456789012345678901234567890123", "line:ttyACM0/input/a",
                "line:/dev/ttyACM0", "line://h:1/inputs/a"});
}

TEST_CASE("the form of the kind that was meant is told", "[contacts]") {
    CHECK(contact_address_form("gpio:x") == kGpioForm);
    CHECK(contact_address_form("modbus+rtu:x") == kModbusRtuForm);
    CHECK(contact_address_form("modbus:x") == kModbusForm);
    CHECK(contact_address_form("mqtt:x") == kMqttForm);
    CHECK(contact_address_form("mqtts:x") == kMqttForm);
    CHECK(contact_address_form("line:x") == kLineForm);
    CHECK(contact_address_form("plc").starts_with(kAnyContactForm));
}
