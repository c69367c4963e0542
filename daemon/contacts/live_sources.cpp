#include "daemon/contacts/live_sources.h"

#include <map>
#include <optional>
#include <variant>

#include "daemon/contacts/contact_address.h"
#include "daemon/contacts/gpio/gpiod_lines.h"
#include "daemon/failure.h"
#include "daemon/settings/secret_file.h"

namespace quietpass {

namespace {

// All contacts of one source.
struct Group {
    std::string name;
    std::vector<std::size_t> contacts;
    std::vector<ContactAddress> addresses;
};

// The inputs of a group whose addresses are all of one kind.
template <typename Input, typename Address>
std::vector<Input> inputs_of(const Group& group) {
    std::vector<Input> inputs;
    for (std::size_t i = 0; i < group.contacts.size(); ++i) {
        inputs.push_back({group.contacts[i], std::get<Address>(group.addresses[i])});
    }
    return inputs;
}

// The file of that key that the group's contacts name, if any; all of them the same.
std::string file_of(const StationSettings& settings, const Group& group, std::string ContactSettings::*file,
                    const std::string& key, const std::string& only_one) {
    std::string path;
    for (const std::size_t number : group.contacts) {
        const ContactSettings& contact = settings.contacts[number];
        const std::string& named = contact.*file;
        if (named.empty()) continue;
        if (!path.empty() && named != path) {
            throw Failure(kExitUsage, settings.file + ": contact " + contact.name + ": " + key +
                                          ": another contact of " + group.name + " has " + path + "; " +
                                          only_one);
        }
        path = named;
    }
    return path;
}

std::unique_ptr<ContactSource> mqtt_source_of(std::size_t number, const Group& group,
                                              const StationSettings& settings, const Clock& clock,
                                              const SourceTimings& timings) {
    const std::string login =
        file_of(settings, group, &ContactSettings::login_file, "login_file", "one broker has one login");
    std::string authorities =
        file_of(settings, group, &ContactSettings::ca_file, "ca_file", "one broker has one certificate");
    return std::make_unique<MqttSource>(number, inputs_of<MqttInput, MqttAddress>(group),
                                        "quietpass-" + settings.name + "-contacts-" + std::to_string(number),
                                        login.empty() ? std::nullopt : std::optional(read_login(login)),
                                        std::move(authorities), clock, timings.mqtt);
}

std::unique_ptr<ContactSource> source_of_group(std::size_t number, const Group& group,
                                               const StationSettings& settings, const Clock& clock,
                                               const SourceTimings& timings) {
    const ContactAddress& first = group.addresses.front();
    if (std::holds_alternative<ModbusAddress>(first)) {
        return std::make_unique<ModbusSource>(number, inputs_of<ModbusInput, ModbusAddress>(group), clock,
                                              timings.modbus);
    }
    if (std::holds_alternative<GpioAddress>(first)) {
        return std::make_unique<GpioSource>(number, inputs_of<GpioInput, GpioAddress>(group),
                                            std::make_unique<GpiodLines>(), clock, timings.gpio);
    }
    if (std::holds_alternative<MqttAddress>(first)) {
        return mqtt_source_of(number, group, settings, clock, timings);
    }
    return std::make_unique<LineSource>(number, inputs_of<LineInput, LineAddress>(group), clock,
                                        timings.line);
}

// The serial port of an address, empty where it has none.
std::string serial_device_of(const ContactAddress& address) {
    if (const auto* modbus = std::get_if<ModbusAddress>(&address); modbus && modbus->serial)
        return modbus->serial->device;
    if (const auto* line = std::get_if<LineAddress>(&address); line && line->serial)
        return line->serial->device;
    return {};
}

} // namespace

LiveSources live_sources(const StationSettings& settings, const Clock& clock, const SourceTimings& timings) {
    std::vector<Group> groups;
    std::map<std::string, std::string> source_of_device;
    LiveSources live;
    for (std::size_t i = 0; i < settings.contacts.size(); ++i) {
        const ContactSettings& contact = settings.contacts[i];
        const std::string here = settings.file + ": contact " + contact.name + ": input: ";
        const auto address = contact_address_from(contact.input);
        if (!address) {
            throw Failure(kExitUsage, here + "expected " + contact_address_form(contact.input) + ", found '" +
                                          contact.input + "'; a running station needs it for every contact");
        }
        const std::string name = source_of(*address);
        if (const std::string device = serial_device_of(*address); !device.empty()) {
            const auto [first, added] = source_of_device.emplace(device, name);
            if (!added && first->second != name) {
                throw Failure(kExitUsage, here + "is on " + name + ", another contact on " + first->second +
                                              "; one serial port has one setting");
            }
        }
        std::size_t source = 0;
        while (source < groups.size() && groups[source].name != name) ++source;
        if (source == groups.size()) groups.push_back({name, {}, {}});
        groups[source].contacts.push_back(i);
        groups[source].addresses.push_back(*address);
        live.source_of.push_back(source);
    }
    for (std::size_t source = 0; source < groups.size(); ++source) {
        live.sources.push_back(source_of_group(source, groups[source], settings, clock, timings));
    }
    return live;
}

} // namespace quietpass
