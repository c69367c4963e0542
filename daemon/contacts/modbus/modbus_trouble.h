// What libmodbus's error number means for whoever stands at the module. Pure; any thread.
#pragma once

#include <modbus/modbus.h>

#include <cerrno>
#include <string>

namespace quietpass {

inline std::string modbus_trouble(int error) {
    switch (error) {
        case ETIMEDOUT:
        case EINPROGRESS: // of a connection that nobody answered
            return "no answer: look at its power, its address and the cable";
        case ECONNREFUSED:
            return "refused: another port there, or Modbus switched off";
        case EHOSTUNREACH:
        case ENETUNREACH:
            return "no way to it: its address is not in this computer's network";
        case ECONNRESET:
        case EPIPE:
            return "it ended the connection";
        default:
            return modbus_strerror(error);
    }
}

} // namespace quietpass
