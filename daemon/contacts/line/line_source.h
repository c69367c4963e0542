// Contacts of one small controller that speaks the line protocol (deploy/line_protocol.md), over TCP or a
// serial port.
//
// A change stands at the controller's own stamp where it gives one, brought to our Clock by the least delay
// (controller_clock.h), else at the arrival of its line. A line proves all that came before it: levels are
// known up to the last line. Lost: when the connection fails, when no good line comes for silent_after_s,
// when a line is damaged (it may have been a change), when the controller says that it does not know an
// input, and when its clock shows that it was started anew. Then all levels are asked for again. Waits are
// real time, whatever the Clock's speed. Thread contract: as ContactSource; stop() waits at most for a
// connection under way: connect_within_s.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/addresses/line_address.h"
#include "daemon/contacts/contact_source.h"

namespace quietpass {

struct LineTiming {
    double silent_after_s = 2.0;
    double connect_within_s = 1.0;
    double ask_again_s = 0.5; // while levels are missing
    double first_retry_s = 0.2;
    double last_retry_s = 5.0;
};

struct LineInput {
    std::size_t contact = 0; // index into the station's contacts
    LineAddress address;     // all inputs of a source have the same source()
};

class LineSource final : public ContactSource {
  public:
    // number: what `source` of its events says. The clock must outlive the source.
    LineSource(std::size_t number, std::vector<LineInput> inputs, const Clock& clock,
               const LineTiming& timing = {});
    ~LineSource() override;

    const std::string& name() const override;
    void start(ContactSink& sink) override;
    void stop() override;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
