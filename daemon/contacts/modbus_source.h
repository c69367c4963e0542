// Contacts read from one Modbus TCP device (one host, port and unit), polled by libmodbus.
//
// All contacts of the device are read together, neighbouring numbers in one request. A change is stamped at
// the middle between the sending of the request and its answer: it happened at most one poll and half a round
// trip before, or half a round trip after. After any failure the connection is flushed, closed and opened
// anew (a late answer would else be taken for the next one), at first after first_retry_s, then twice as long
// each time up to last_retry_s. The poll and the waits are real time, whatever the Clock's speed; stamps are
// the Clock's. Thread contract: as ContactSource. stop() waits at most for the request under way:
// answer_within_s. A host name is resolved by the system at each connection, which may take longer: give
// addresses.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/contact_address.h"
#include "daemon/contacts/contact_source.h"

namespace quietpass {

struct ModbusTiming {
    double poll_s = 0.010;
    double answer_within_s = 1.0;
    double first_retry_s = 0.2;
    double last_retry_s = 5.0;
};

struct ModbusInput {
    std::size_t contact = 0; // index into the station's contacts
    ContactAddress address;  // all inputs of a source share host, port and unit
};

class ModbusSource final : public ContactSource {
  public:
    // number: what `source` of its events says. The clock must outlive the source.
    ModbusSource(std::size_t number, std::vector<ModbusInput> inputs, const Clock& clock,
                 const ModbusTiming& timing = {});
    ~ModbusSource() override;

    const std::string& name() const override;
    void start(ContactSink& sink) override;
    void stop() override;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
