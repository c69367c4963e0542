#include "daemon/contacts/live_sources.h"

#include <algorithm>

#include "daemon/failure.h"

namespace quietpass {

LiveSources live_sources(const StationSettings& settings, const Clock& clock, const ModbusTiming& timing) {
    std::vector<std::string> names;
    std::vector<std::vector<ModbusInput>> inputs;
    LiveSources live;
    for (std::size_t i = 0; i < settings.contacts.size(); ++i) {
        const ContactSettings& contact = settings.contacts[i];
        const auto address = contact_address_from(contact.input);
        if (!address) {
            throw Failure(kExitUsage, settings.file + ": contact " + contact.name + ": input: expected " +
                                          std::string(kContactAddressForm) + ", found '" + contact.input +
                                          "'; a running station needs it for every contact");
        }
        const auto place = std::find(names.begin(), names.end(), address->source());
        const auto source = static_cast<std::size_t>(place - names.begin());
        if (place == names.end()) {
            names.push_back(address->source());
            inputs.emplace_back();
        }
        inputs[source].push_back({i, *address});
        live.source_of.push_back(source);
    }
    for (std::size_t source = 0; source < inputs.size(); ++source) {
        live.sources.push_back(std::make_unique<ModbusSource>(source, inputs[source], clock, timing));
    }
    return live;
}

} // namespace quietpass
