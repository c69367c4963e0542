// The lines of one GPIO chip as their source sees them: a real chip (gpiod_lines.h), or a script in tests.
//
// Lines are numbered by their place in the list that open() was given. Nothing throws; a call that fails
// leaves the reason in why(). One thread uses it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/contacts/addresses/gpio_address.h"

namespace quietpass {

struct GpioEdge {
    std::size_t line = 0;
    bool high = false;
    std::int64_t age_ns = 0; // how long ago it was, real time; 0 where the chip's stamp can't be used
};

class GpioLines {
  public:
    virtual ~GpioLines() = default; // closes

    // Takes the lines for us alone, as inputs. Called again after a failure.
    virtual bool open(const std::vector<GpioAddress>& lines) = 0;
    virtual void close() = 0;
    // The lines' levels now, true for high.
    virtual std::optional<std::vector<bool>> levels() = 0;
    // The edges since the last call, oldest first on each line; waits for one at most so long. A chip keeps
    // few edges (the kernel 16 for a line) and drops the newest of a burst: what a line did last must be read
    // anew.
    virtual std::optional<std::vector<GpioEdge>> edges(double at_most_s) = 0;

    virtual const std::string& why() const = 0;
};

} // namespace quietpass
