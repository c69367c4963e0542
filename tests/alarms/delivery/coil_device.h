// A Modbus TCP device on loopback with a lamp's coils, which a test can kill and start again; its coils are
// off after each start. Tests only; one thread uses it.
#pragma once

#include <thread>

#include "tests/contacts/modbus_server.h"

namespace quietpass::test {

class CoilDevice {
  public:
    CoilDevice(); // on any free port, which it keeps
    ~CoilDevice();

    int port() const { return server_.port(); }
    void kill();
    void start();

    bool coil(int number) const { return server_.coil(number); }
    int writes() const { return server_.coil_writes(); }
    bool await_coil(int number, bool on) const; // false after a minute
    bool await_writes(int count) const;

  private:
    ModbusServer server_;
    std::jthread thread_; // serves
};

} // namespace quietpass::test
