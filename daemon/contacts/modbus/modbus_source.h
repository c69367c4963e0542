// Contacts read from one Modbus device over TCP (one host, port and unit) or from one serial line with all
// its units (RTU), polled by libmodbus.
//
// All contacts of the source are read together, neighbouring numbers in one request. A change is stamped at
// the middle between the sending of the request and its answer: it happened at most one poll and half a round
// trip before, or half a round trip after. On a serial line the poll takes as long as the line needs: about
// 15 ms for eight inputs at 19200 baud. After any failure the connection is flushed, closed and opened anew,
// at first after first_retry_s, then twice as long each time up to last_retry_s. A unit that does not answer
// makes its whole serial line lost. The poll and the waits are real time, whatever the Clock's speed; stamps
// are the Clock's. Thread contract: as ContactSource. stop() waits at most for the request under way:
// answer_within_s. A host name is resolved by the system at each connection, which may take longer: give
// addresses.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/addresses/modbus_address.h"
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
    ModbusAddress address;   // all inputs of a source have the same source()
};

class ModbusSource final : public ContactSource {
  public:
    // number: what `source` of its events says. The clock must outlive the source.
    ModbusSource(std::size_t number, const std::vector<ModbusInput>& inputs, const Clock& clock,
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
