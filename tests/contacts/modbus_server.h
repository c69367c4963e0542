// A Modbus TCP device on loopback, for tests and the demo: inputs, coils and registers that a test sets, and
// the ways in which a real one fails.
//
// serve() does the work and belongs to one thread; everything else may be called from any thread.
#pragma once

#include <chrono>
#include <memory>

#include "daemon/contacts/addresses/modbus_address.h"

namespace quietpass {

class ModbusServer {
  public:
    // port 0: any free one. Throws Failure(1) when it can't be had.
    explicit ModbusServer(int port = 0);
    ~ModbusServer();

    int port() const;

    // All are false at first. number: 0 … 65535; bit: of a register.
    void set(ModbusTable table, int number, bool level, int bit = 0);

    // What a client wrote, and how often one wrote a coil; all false again after forget().
    bool coil(int number) const;
    int coil_writes() const;
    void forget();

    // Requests are taken and never answered.
    void mute(bool on);
    // Connections are refused and those there are closed; the port stays ours.
    void down(bool on);
    // Closes all connections.
    void drop_clients();

    int connections() const; // ever accepted
    int requests() const;    // ever taken

    // Waits for requests at most so long, and answers them.
    void serve(std::chrono::nanoseconds at_most);

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
