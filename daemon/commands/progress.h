// A progress bar on standard error, drawn only when that is a terminal, at most ten times a second of real
// time. One thread.
#pragma once

#include <cstdint>
#include <string>

namespace quietpass {

class Progress {
  public:
    // what: the words before the bar.
    explicit Progress(std::string what);
    ~Progress(); // clears the line
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    // share: 0 … 1 of the work; note: short words behind the bar.
    void show(double share, const std::string& note);

  private:
    std::string what_;
    bool terminal_;
    std::int64_t last_ns_ = 0;
};

} // namespace quietpass
