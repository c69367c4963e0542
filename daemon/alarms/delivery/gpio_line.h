// A line of a GPIO chip as an output, by libgpiod 1.6. The line is held from the first set() on; when the
// process ends, the kernel gives it back, and what it then shows depends on the board.
#pragma once

#include <memory>

#include "daemon/alarms/delivery/output_line.h"
#include "daemon/settings/relay_address.h"

namespace quietpass {

class GpioLine final : public OutputLine {
  public:
    explicit GpioLine(GpioLineAddress address);
    ~GpioLine() override;

    std::string set(bool on) override;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
