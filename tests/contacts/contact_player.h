// What a Modbus stand-in does and when: contacts.csv as levels of a device's inputs, and faults, in one order
// of time.
//
// Times are seconds of the recording, as in contacts.csv. Inverted contacts play as the device would show
// them. Drives a ModbusServer; no clock, no threads.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "daemon/settings/station_settings.h"
#include "tests/contacts/modbus_server.h"

namespace quietpass {

class ContactPlayer {
  public:
    // Throws Failure as read_contacts_csv, and Failure(2) for a contact without an input. Sets the first
    // levels (all open).
    ContactPlayer(const StationSettings& settings, const std::string& contacts_csv, ModbusServer& server);

    void mute(double at_s, double for_s); // no answers
    void down(double at_s, double for_s); // no connections
    void drop(double at_s);               // all connections closed

    // Does all that is due at time_s and was not done.
    void play_until(double time_s);

    // When the next thing is due; infinity: nothing any more.
    double next_s() const;
    double last_s() const;

  private:
    struct Step {
        double time_s;
        std::function<void()> act;
    };

    void add(double time_s, std::function<void()> act);

    ModbusServer& server_;
    std::vector<Step> steps_; // sorted
    std::size_t next_ = 0;
};

} // namespace quietpass
