#include "tests/contacts/contact_player.h"

#include <algorithm>
#include <limits>

#include "daemon/contacts/addresses/modbus_address.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/failure.h"

namespace quietpass {

ContactPlayer::ContactPlayer(const StationSettings& settings, const std::string& contacts_csv,
                             ModbusServer& server)
    : server_(server) {
    std::vector<ModbusAddress> addresses;
    for (const ContactSettings& contact : settings.contacts) {
        const auto address = modbus_address_from(contact.input);
        if (!address) {
            throw Failure(kExitUsage, settings.file + ": contact " + contact.name +
                                          ": input: is missing; give " + std::string(kModbusForm));
        }
        server_.set(address->table, address->number, contact.inverted);
        addresses.push_back(*address);
    }
    for (const ContactChange& change : read_contacts_csv(contacts_csv, settings)) {
        const ModbusAddress address = addresses[change.contact];
        const bool level = change.closed != settings.contacts[change.contact].inverted;
        add(change.time_s, [this, address, level] { server_.set(address.table, address.number, level); });
    }
}

void ContactPlayer::mute(double at_s, double for_s) {
    add(at_s, [this] { server_.mute(true); });
    add(at_s + for_s, [this] { server_.mute(false); });
}

void ContactPlayer::down(double at_s, double for_s) {
    add(at_s, [this] { server_.down(true); });
    add(at_s + for_s, [this] { server_.down(false); });
}

void ContactPlayer::drop(double at_s) {
    add(at_s, [this] { server_.drop_clients(); });
}

void ContactPlayer::play_until(double time_s) {
    while (next_s() <= time_s) steps_[next_++].act();
}

double ContactPlayer::next_s() const {
    return next_ < steps_.size() ? steps_[next_].time_s : std::numeric_limits<double>::infinity();
}

double ContactPlayer::last_s() const {
    return steps_.empty() ? 0.0 : steps_.back().time_s;
}

void ContactPlayer::add(double time_s, std::function<void()> act) {
    const auto later = std::upper_bound(steps_.begin(), steps_.end(), time_s,
                                        [](double time, const Step& step) { return time < step.time_s; });
    steps_.insert(later, {time_s, std::move(act)});
}

} // namespace quietpass
