// A serial port without hardware: a pseudo-terminal whose far end the test holds, under a path of its own, as
// /dev/serial/by-id gives a port one.
//
// Destroying it is pulling the plug: whoever has the port open is hung up. One thread uses it.
#pragma once

#include <string>

namespace quietpass {

class Pty {
  public:
    // path: a link to the port, made anew each time. Throws Failure(1) when there is no pseudo-terminal.
    explicit Pty(const std::string& path);
    ~Pty();
    Pty(const Pty&) = delete;
    Pty& operator=(const Pty&) = delete;

    // The far end, for poll, read and write.
    int fd() const { return far_; }

  private:
    std::string path_;
    int far_ = -1;
    int near_ = -1; // held open, so that the far end isn't hung up while the port is closed
};

} // namespace quietpass
