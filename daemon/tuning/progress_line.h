// Progress on standard error: a bar that redraws itself on a terminal, a plain line every tenth of the way
// elsewhere.
#pragma once

#include <cstddef>
#include <string>

namespace quietpass {

class ProgressLine {
  public:
    explicit ProgressLine(bool quiet);
    ~ProgressLine();
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    void show(std::size_t done, std::size_t all, const std::string& what);

  private:
    void end_line();

    bool quiet_;
    bool terminal_;
    bool open_ = false; // the cursor stands behind a bar
    std::string what_;
    std::size_t shown_ = 0; // tenths on a file, thousandths on a terminal
};

} // namespace quietpass
