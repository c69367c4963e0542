// A small controller that speaks the line protocol, for tests: at a TCP port of loopback or at the far end of
// a pseudo-terminal, on a thread of its own. It runs until it is destroyed, and its port goes with it.
//
// It answers `state`, tells each change, and sends a heartbeat every 10 ms, all with its own milliseconds and
// a checksum. Everything may be called from any thread.
#pragma once

#include <map>
#include <memory>
#include <string>

namespace quietpass {

class LineDevice {
  public:
    using States = std::map<std::string, char>; // '0', '1' or '?'

    // On TCP; port 0: any free one. Throws Failure(1) when it can't be had.
    LineDevice(int port, States states);
    // On a port of its own under this path (pty.h).
    LineDevice(const std::string& path, States states);
    ~LineDevice();

    int port() const;

    void set(const std::string& input, char state);
    // As set(), but the line comes late_ms after its stamp.
    void set_late(const std::string& input, char state, int late_ms);
    // Sends a line as it stands.
    void say(const std::string& line);
    // Connected, and nothing comes.
    void silent(bool on);
    // Its milliseconds begin at 0.
    void restart_clock();
    // `state` is not answered.
    void deaf(bool on);
    int asked() const; // how often `state` came

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
