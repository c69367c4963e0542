#include "daemon/commands/progress.h"

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <utility>

#include "daemon/clock.h"

namespace quietpass {

namespace {

constexpr int kBarCells = 30;
constexpr std::int64_t kRedraw_ns = 100'000'000;

} // namespace

Progress::Progress(std::string what) : what_(std::move(what)), terminal_(isatty(STDERR_FILENO) != 0) {}

Progress::~Progress() {
    if (terminal_ && last_ns_ != 0) std::fputs("\r\033[K", stderr);
}

void Progress::show(double share, const std::string& note) {
    if (!terminal_) return;
    const std::int64_t now_ns = RealClock().monotonic_ns();
    if (now_ns - last_ns_ < kRedraw_ns) return;
    last_ns_ = now_ns;
    const double bounded = std::clamp(share, 0.0, 1.0);
    const auto filled = static_cast<std::size_t>(bounded * kBarCells);
    const std::string bar = std::string(filled, '#') + std::string(kBarCells - filled, '.');
    std::fprintf(stderr, "\r\033[K%s [%s] %3.0f %%  %s", what_.c_str(), bar.c_str(), 100.0 * bounded,
                 note.c_str());
    std::fflush(stderr);
}

} // namespace quietpass
