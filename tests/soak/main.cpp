// soak: a month of a plant, as fast as the chain goes. What `quietpass run` is made of, with a simulated
// clock, microphone and contacts, and random faults from a seed; everything else is real (SQLite, files,
// threads, alarms over loopback). Exit 0: all accounted for and flat; 1: lines that say what is not; 2: bad
// usage.
#include <CLI/CLI.hpp>

#include <algorithm>
#include <cstdio>
#include <exception>

#include "daemon/failure.h"
#include "tests/soak/soak.h"

namespace {

constexpr std::size_t kMostLines = 30;

int soak(const quietpass::soak::SoakWish& wish, bool again) {
    quietpass::soak::SoakResult result = quietpass::soak::soak(wish);
    if (again && quietpass::soak::soak(wish).digest != result.digest) {
        result.wrong.emplace_back("the same seed gave another result the second time");
    }
    for (std::size_t i = 0; i < std::min(result.wrong.size(), kMostLines); ++i) {
        std::printf("NOT RIGHT: %s\n", result.wrong[i].c_str());
    }
    if (result.wrong.size() > kMostLines) {
        std::printf("NOT RIGHT: and %zu more\n", result.wrong.size() - kMostLines);
    }
    return result.wrong.empty() ? 0 : quietpass::kExitFailure;
}

} // namespace

int main(int argc, char** argv) {
    quietpass::soak::SoakWish wish;
    bool again = false;
    CLI::App app("A plant for many days with random faults, as fast as the daemon's chain goes.", "soak");
    app.add_option("reels", wish.reels, "made shifts of a cattle box (scenario-builder)")->required();
    app.add_option("--out", wish.folder, "folder for everything that is written")->required();
    app.add_option("--days", wish.plan.days, "days of work")->check(CLI::Range(1, 260));
    app.add_option("--hours", wish.plan.shift_hours,
                   "of work in each of a day's two shifts, at most; one reel at least");
    app.add_option("--slot", wish.plan.slot_s, "at most one fault in so many seconds")
        ->check(CLI::Range(60.0, 7200.0));
    app.add_option("--seed", wish.plan.seed, "of reels, faults and times");
    app.add_flag("--again", again, "a second time, which must give the same");
    try {
        app.parse(argc, argv);
    } catch (const CLI::CallForHelp& help) {
        return app.exit(help);
    } catch (const CLI::ParseError& error) {
        std::fprintf(stderr, "soak: %s: see soak --help\n", error.what());
        return quietpass::kExitUsage;
    }
    try {
        return soak(wish, again);
    } catch (const quietpass::Failure& failure) {
        std::fprintf(stderr, "soak: %s\n", failure.what());
        return failure.exit_code();
    } catch (const std::exception& error) {
        std::fprintf(stderr, "soak: %s\n", error.what());
        return quietpass::kExitFailure;
    }
}
