// Pages of calls for the page's list, newest first, and one call with all that is drawn with it. From one
// moment of the store. Errors: SQLite::Exception. One thread a database.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace quietpass {

struct CallFilter {
    std::optional<std::int64_t> shift_id;
    std::optional<std::int64_t> passage_id;
    std::optional<bool> counted;
    std::optional<bool> judged; // a finding on it is in force
    std::string kind;           // empty: any
    std::string phase;
    std::optional<std::int64_t> from_utc_ns; // that begin from here …
    std::optional<std::int64_t> to_utc_ns;   // … to here
    // Only calls before this one in the list.
    std::optional<std::int64_t> before_shift;
    std::optional<std::int64_t> before_call;
    int most = 100;
};

struct ListedCall {
    std::int64_t shift_id = 0;
    std::int64_t call_id = 0;
    std::string microphone;
    double start_s = 0.0;
    double end_s = 0.0;
    std::optional<std::int64_t> start_utc_ns;
    std::string species;
    std::string kind;
    double score = 0.0;
    double level_db = 0.0;
    double f0_hz = 0.0; // 0: no pitch
    std::optional<std::int64_t> passage_id;
    std::string phase; // empty: none
    bool counted = false;
    std::string reason;
    std::string terms;
    std::optional<std::int64_t> clip_id; // of a clip that isn't deleted
};

std::vector<ListedCall> read_calls_listed(SQLite::Database& database, const CallFilter& filter);

std::optional<ListedCall> read_call(SQLite::Database& database, std::int64_t shift_id, std::int64_t call_id);

// The times of a call's passage, and the edges from a while before it to a while after it.
struct CallPassage {
    double entered_s = 0.0;
    double end_s = 0.0;
    std::optional<double> body_held_s;
    std::optional<double> held_s;
    std::optional<double> stunned_s;
    std::optional<double> released_s;
    bool vocal = false;
    bool covered = false;
    std::string excluded;
};
std::optional<CallPassage> read_call_passage(SQLite::Database& database, std::int64_t shift_id,
                                             std::int64_t passage_id);

struct CallEdge {
    double time_s = 0.0;
    std::string role;
    bool closed = false;
};
std::vector<CallEdge> read_call_edges(SQLite::Database& database, std::int64_t shift_id, double from_s,
                                      double to_s);

} // namespace quietpass
