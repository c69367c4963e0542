// A Modbus RTU unit at the far end of a pseudo-terminal, by libmodbus, on a thread of its own: it runs until
// it is destroyed, and its port goes with it. set() may be called from any thread.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "daemon/contacts/addresses/modbus_address.h"

namespace quietpass {

class ModbusRtuDevice {
  public:
    // path: of the port, see pty.h; closed: discrete inputs that are so from the first answer on. Throws
    // Failure(1).
    ModbusRtuDevice(const std::string& path, int unit, const std::vector<int>& closed = {});
    ~ModbusRtuDevice();

    void set(ModbusTable table, int number, bool level, int bit = 0);

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
