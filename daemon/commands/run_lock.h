// One daemon a folder: a second one on the same records refuses to start. Held until destroyed, released by
// the system when the process dies. Throws Failure (exit 1) when another process holds it.
#pragma once

#include <string>

namespace quietpass {

class RunLock {
  public:
    explicit RunLock(const std::string& folder);
    ~RunLock();
    RunLock(const RunLock&) = delete;
    RunLock& operator=(const RunLock&) = delete;

  private:
    int file_;
};

// Whether a daemon has this folder now.
bool folder_is_held(const std::string& folder);

} // namespace quietpass
