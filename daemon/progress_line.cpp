#include "daemon/progress_line.h"

#include <unistd.h>

#include <cstdio>
#include <utility>

namespace quietpass {

ProgressLine::ProgressLine(std::string command, Elsewhere elsewhere, bool quiet)
    : command_(std::move(command)),
      terminal_(isatty(STDERR_FILENO) == 1),
      quiet_(quiet || (!terminal_ && elsewhere == Elsewhere::kNothing)) {}

ProgressLine::~ProgressLine() {
    end_line();
}

void ProgressLine::end_line() {
    if (open_) std::fputc('\n', stderr);
    open_ = false;
}

void ProgressLine::show(std::size_t done, std::size_t all, const std::string& what) {
    if (quiet_ || all == 0) return;
    const std::size_t step = done * (terminal_ ? 1000 : 10) / all;
    if (what == what_ && step == shown_) return;
    if (terminal_) {
        // Training steps each have a name of their own and share one bar.
        constexpr std::size_t kWidth = 40;
        const std::size_t full = done * kWidth / all;
        std::fprintf(stderr, "\r\033[K[%s%s] %3zu %%  %s", std::string(full, '#').c_str(),
                     std::string(kWidth - full, '.').c_str(), done * 100 / all, what.c_str());
        open_ = true;
        if (done == all) end_line();
    } else {
        std::fprintf(stderr, "%s: %s, %zu of %zu\n", command_.c_str(), what.c_str(), done, all);
    }
    std::fflush(stderr);
    what_ = what;
    shown_ = step;
}

} // namespace quietpass
