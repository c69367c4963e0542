// A coil of a Modbus TCP device as an output. The connection is kept; after any failure it is closed and made
// anew (a late answer would else be taken for the next one).
#pragma once

#include <memory>

#include "daemon/alarms/delivery/output_line.h"
#include "daemon/settings/relay_address.h"

namespace quietpass {

class CoilLine final : public OutputLine {
  public:
    explicit CoilLine(CoilAddress address, double answer_within_s = 1.0);
    ~CoilLine() override;

    std::string set(bool on) override;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
