// Contacts wired to the lines of one GPIO chip of this machine.
//
// A change stands at the kernel's stamp of its edge. After each burst of edges the levels are read anew,
// because a chip drops the newest edges of a long one: a level that no edge told of stands at that reading. A
// chip that can't be opened or read is lost; it is tried again with a back-off. Waits are real time, whatever
// the Clock's speed. Thread contract: as ContactSource.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "daemon/clock.h"
#include "daemon/contacts/contact_source.h"
#include "daemon/contacts/gpio/gpio_lines.h"

namespace quietpass {

struct GpioTiming {
    double turn_s = 0.02; // levels are known this often while nothing changes
    double first_retry_s = 0.2;
    double last_retry_s = 5.0;
};

struct GpioInput {
    std::size_t contact = 0; // index into the station's contacts
    GpioAddress address;     // all inputs of a source have the same source()
};

class GpioSource final : public ContactSource {
  public:
    // number: what `source` of its events says. The clock must outlive the source.
    GpioSource(std::size_t number, const std::vector<GpioInput>& inputs, std::unique_ptr<GpioLines> lines,
               const Clock& clock, const GpioTiming& timing = {});
    ~GpioSource() override;

    const std::string& name() const override;
    void start(ContactSink& sink) override;
    void stop() override;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
