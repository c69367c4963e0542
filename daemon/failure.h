// A failure that the user can act on: one line that says what, where and what to do, and the exit code it
// means. What it quotes of a file or of what was typed is one line too: in_one_line(). Thrown at set-up only;
// main() prints it on standard error and exits. Never crosses a callback or a thread.
#pragma once

#include <stdexcept>
#include <string>

#include "classifiers/one_line.h"

namespace quietpass {

inline constexpr int kExitUsage = 2;   // bad usage or configuration
inline constexpr int kExitFailure = 1; // everything else

class Failure : public std::runtime_error {
  public:
    Failure(int exit_code, const std::string& line)
        : std::runtime_error(in_one_line(line)), exit_code_(exit_code) {}
    int exit_code() const { return exit_code_; }

  private:
    int exit_code_;
};

} // namespace quietpass
