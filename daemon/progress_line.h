// Progress on standard error: a bar that redraws itself on a terminal; elsewhere a plain line every tenth of
// the way, or nothing. One thread.
#pragma once

#include <cstddef>
#include <string>

namespace quietpass {

class ProgressLine {
  public:
    enum class Elsewhere { kLines, kNothing };

    // command: the word before a plain line. quiet: nothing anywhere.
    ProgressLine(std::string command, Elsewhere elsewhere, bool quiet = false);
    ~ProgressLine();
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    void show(std::size_t done, std::size_t all, const std::string& what);

  private:
    void end_line();

    std::string command_;
    bool terminal_;
    bool quiet_;
    bool open_ = false; // the cursor stands behind a bar
    std::string what_;
    std::size_t shown_ = 0; // tenths on a file, thousandths on a terminal
};

} // namespace quietpass
