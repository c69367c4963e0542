#include "tests/soak/figures.h"

#include <SQLiteCpp/Database.h>
#include <fmt/format.h>
#include <malloc.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <fstream>
#include <iterator>
#include <span>
#include <thread>

namespace quietpass::soak {

namespace {

double mb_of(const std::filesystem::path& file) {
    std::error_code none;
    const auto bytes = std::filesystem::file_size(file, none);
    return none ? 0.0 : static_cast<double>(bytes) * 1e-6;
}

template <typename Use>
void each_file(const std::filesystem::path& folder, Use use) {
    std::error_code none;
    for (auto entry = std::filesystem::recursive_directory_iterator(folder, none);
         entry != std::filesystem::recursive_directory_iterator(); entry.increment(none)) {
        if (entry->is_regular_file(none)) use(entry->path());
    }
}

// Of /proc/self/status, in MB.
double status_mb(const std::string& key) {
    std::ifstream status("/proc/self/status");
    for (std::string line; std::getline(status, line);) {
        if (line.rfind(key + ":", 0) == 0) return std::stod(line.substr(key.size() + 1)) * 1024e-6;
    }
    return 0.0;
}

double heap_mb() {
    const struct mallinfo2 heap = mallinfo2();
    return static_cast<double>(heap.uordblks + heap.hblkhd) * 1e-6;
}

// The daemon's other threads may be at a clip: what is in use when it has not changed for some looks, or the
// last look after ten seconds.
double heap_mb_at_rest() {
    double before_mb = heap_mb();
    for (int look = 0, same = 0; look < 200 && same < 4; ++look) {
        std::this_thread::sleep_for(std::chrono::milliseconds(50));
        const double now_mb = heap_mb();
        same = std::abs(now_mb - before_mb) < 0.1 ? same + 1 : 0;
        before_mb = now_mb;
    }
    return before_mb;
}

int entries_of(const char* folder) {
    return static_cast<int>(std::distance(std::filesystem::directory_iterator(folder), {}));
}

// Least squares, over the days.
double slope_a_day(std::span<const Figures> days, double Figures::*figure) {
    double day = 0.0;
    double value = 0.0;
    for (const Figures& one : days) {
        day += one.day / static_cast<double>(days.size());
        value += one.*figure / static_cast<double>(days.size());
    }
    double both = 0.0;
    double squares = 0.0;
    for (const Figures& one : days) {
        both += (one.day - day) * (one.*figure - value);
        squares += (one.day - day) * (one.day - day);
    }
    return squares > 0.0 ? both / squares : 0.0;
}

double bytes_per_passage(const Figures& from, const Figures& to) {
    return (to.store_mb - from.store_mb) * 1e6 /
           static_cast<double>(std::max<std::size_t>(to.passages - from.passages, 1));
}

} // namespace

Figures figures_now(double day, const std::filesystem::path& out, const std::filesystem::path& log) {
    Figures now;
    now.day = day;
    now.heap_mb = heap_mb_at_rest();
    now.rss_mb = status_mb("VmRSS");
    now.anonymous_mb = status_mb("RssAnon");
    now.handles = entries_of("/proc/self/fd") - 1; // the one that looks
    now.threads = entries_of("/proc/self/task");
    now.store_mb = mb_of(out / "records.db");
    now.wal_mb = mb_of(out / "records.db-wal");
    now.outbox_mb = mb_of(out / "outbox.db") + mb_of(out / "outbox.db-wal");
    now.log_kb = mb_of(log) * 1e3;
    each_file(out / "clips", [&](const auto& file) {
        now.clips_mb += mb_of(file);
        ++now.clips;
    });
    each_file(out / "shifts", [&](const auto& file) { now.other_mb += mb_of(file); });
    std::error_code none;
    for (const auto& entry : std::filesystem::directory_iterator(out, none)) {
        if (entry.path().extension() == ".csv") now.other_mb += mb_of(entry.path());
    }
    now.passages =
        static_cast<std::size_t>(SQLite::Database((out / "records.db").string(), SQLite::OPEN_READONLY, 5000)
                                     .execAndGet("SELECT count(*) FROM passages")
                                     .getInt64());
    return now;
}

std::vector<std::string> not_flat(const std::vector<Figures>& days, const FlatLimits& limits) {
    std::vector<std::string> lines;
    if (days.size() < 2) return lines;
    const std::span<const Figures> second = std::span(days).subspan(days.size() / 2);
    const std::span<const Figures> compared = second.size() > 1 ? second : std::span(days);
    const double length = compared.back().day - compared.front().day;
    const auto grown = [&](double Figures::*figure, double allowed_mb, const char* what) {
        const double grown_mb = slope_a_day(compared, figure) * length;
        if (grown_mb <= allowed_mb) return;
        lines.push_back(fmt::format("{} grew by {:.1f} MB in the last {:.1f} days; {:.1f} MB are allowed",
                                    what, grown_mb, length, allowed_mb));
    };
    const bool first_days = days.size() < 4;
    grown(&Figures::heap_mb, first_days ? limits.at_first_mb : limits.heap_mb, "memory in use");
    grown(&Figures::anonymous_mb, first_days ? limits.at_first_mb : limits.anonymous_mb, "the process");
    const auto spread = [&](int Figures::*figure, int allowed, const char* what) {
        const auto [least, most] = std::minmax_element(
            compared.begin(), compared.end(),
            [figure](const auto& one, const auto& other) { return one.*figure < other.*figure; });
        if (*most.*figure - *least.*figure > allowed) {
            lines.push_back(fmt::format("{}: {} to {} over the second half; {} apart are allowed", what,
                                        *least.*figure, *most.*figure, allowed));
        }
    };
    spread(&Figures::handles, limits.handles, "handles");
    spread(&Figures::threads, limits.threads, "threads");
    const auto most = [&](double Figures::*figure, double allowed, const char* what) {
        for (const Figures& one : days) {
            if (one.*figure <= allowed) continue;
            lines.push_back(fmt::format("{}: {:.1f} MB on day {:.0f}; {:.1f} MB are allowed", what,
                                        one.*figure, one.day, allowed));
            return;
        }
    };
    most(&Figures::wal_mb, limits.wal_mb, "the store's WAL");
    most(&Figures::outbox_mb, limits.outbox_mb, "the outbox");
    most(&Figures::clips_mb, limits.clips_mb, "clips");
    // Where animals make most of the rows.
    if (days.size() >= 4 && days.back().passages > 200 * days.size()) {
        const Figures& middle = days[days.size() / 2];
        const double first = bytes_per_passage(days.front(), middle);
        const double then = bytes_per_passage(middle, days.back());
        if (then > first * (1.0 + limits.bytes_per_passage_share)) {
            lines.push_back(fmt::format(
                "the store takes {:.0f} bytes a passage in the second half, {:.0f} before", then, first));
        }
    }
    return lines;
}

} // namespace quietpass::soak
