// What `quietpass change compare` and the page say of a change: the passages of a window before it against
// those of a window after it, with a run chart of both.
//
// Errors: as row_reader.h. Inside the caller's transaction; one thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <vector>

#include "daemon/changes/window.h"
#include "daemon/factors/passage_facts.h"
#include "daemon/records/local_time.h"
#include "daemon/tables/table.h"

namespace quietpass {

struct ChangeWish {
    std::int64_t change_id = 0;
    Window before;
    Window after;
    std::optional<double> hoped_percent; // after the change; none: half of what was before
    double level = 0.05;                 // a p under this counts as shown; custom
    double power_percent = 80.0;         // custom
    std::int64_t group = 50;             // scored passages in a group of the run chart
};

// What a wish may be.
inline constexpr double kLeastLevel = 0.0001;
inline constexpr double kMostLevel = 0.5;
inline constexpr double kLeastPower_percent = 50.0;
inline constexpr double kMostPower_percent = 99.9;
inline constexpr std::int64_t kLeastGroup = 5;
inline constexpr std::int64_t kMostGroup = 100000;
inline constexpr const char* kUsualWindow = "7d";
inline constexpr const char* kWindowExpected =
    "a time like 7d, 36h or 90m, a number of scored passages like 400, or two moments FROM,TO";

struct ComparedChange {
    Statement statement;
    // All that came through in each side's time, scored or not.
    std::vector<PassageFacts> before;
    std::vector<PassageFacts> after;
};

// Nothing: no such change is in force.
std::optional<ComparedChange> change_statement(SQLite::Database& database, const ChangeWish& wish,
                                               const LocalTime& time);

} // namespace quietpass
