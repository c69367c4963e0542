// What this process and its folder take, at one moment of the month, and whether it stays flat.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace quietpass::soak {

struct Figures {
    double day = 0.0;          // of the month
    double rss_mb = 0.0;       // all of it …
    double anonymous_mb = 0.0; // … and what is no file's
    double heap_mb = 0.0;      // in use, of what malloc gave
    int handles = 0;
    int threads = 0;
    double store_mb = 0.0;
    double wal_mb = 0.0;
    double outbox_mb = 0.0; // with its WAL
    double clips_mb = 0.0;
    std::size_t clips = 0;
    double log_kb = 0.0;
    double other_mb = 0.0; // shift files and contacts.csv
    std::size_t passages = 0;
};

// out: the folder of the records. Throws Failure.
Figures figures_now(double day, const std::filesystem::path& out, const std::filesystem::path& log);

struct FlatLimits {
    // Growth that the slope of the second half makes of that half: of what is in use, and of all that the
    // process holds (what malloc keeps for later is in it).
    double heap_mb = 3.0;
    double anonymous_mb = 8.0;
    // Of either, in less than four days, while caches of the growing store fill.
    double at_first_mb = 6.0;
    int handles = 3; // most less least of the second half
    int threads = 0;
    double wal_mb = 16.0; // at any time
    double outbox_mb = 8.0;
    double clips_mb = 100.0;
    double bytes_per_passage_share = 0.25; // second half against first
};

// One line for each that is not flat.
std::vector<std::string> not_flat(const std::vector<Figures>& days, const FlatLimits& limits);

} // namespace quietpass::soak
