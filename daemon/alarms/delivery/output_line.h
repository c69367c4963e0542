// One output that a lamp hangs on. set() writes it now and returns what went wrong, empty when the output
// took it; it waits about a second at most. One thread.
#pragma once

#include <string>

namespace quietpass {

class OutputLine {
  public:
    OutputLine() = default;
    OutputLine(const OutputLine&) = delete;
    OutputLine& operator=(const OutputLine&) = delete;
    virtual ~OutputLine() = default;

    virtual std::string set(bool on) = 0;
};

} // namespace quietpass
