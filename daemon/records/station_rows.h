// What the page and `quietpass check` ask the records about the station; each a few rows by an index. Inside
// RecordReader::read(). Errors: SQLite::Exception.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace quietpass {

// The latest minute of a microphone, of the last two shifts.
struct LatestMinute {
    double end_s = 0.0;
    std::optional<std::int64_t> start_utc_ns;
    std::optional<double> sensitivity_db; // levels are dB SPL where there is one
    double heard_s = 0.0;
    double level_db = 0.0;
    double background_db = 0.0;
    double silent_s = 0.0;
    double clipped_s = 0.0;
    double hum_s = 0.0;
    double wind_s = 0.0;
    double covered_s = 0.0;
    double level_far_s = 0.0;
};
std::optional<LatestMinute> read_latest_minute(SQLite::Database& database, const std::string& microphone);

struct LatestEdge {
    bool closed = false;
    double time_s = 0.0;
    std::optional<std::int64_t> utc_ns;
};
std::optional<LatestEdge> read_latest_edge(SQLite::Database& database, const std::string& role);

struct ContactTrouble {
    std::string fault;
    std::optional<std::int64_t> utc_ns;
    std::string detail;
};
// Of the latest shift, the latest.
std::optional<ContactTrouble> read_contact_trouble(SQLite::Database& database, const std::string& contact);

struct LedgerHead {
    std::int64_t seq = 0; // of the last record; 0: none
    std::string hash;     // hex
    std::string key_id;   // in force; empty: none
    std::string public_key;
    std::int64_t signed_seq = 0; // the last record under a signed head; 0: none
    std::optional<std::int64_t> signed_utc_ns;
};
LedgerHead read_ledger_head(SQLite::Database& database);

// The text of a document; nothing where it was never recorded.
std::optional<std::string> read_document(SQLite::Database& database, const std::string& kind,
                                         const std::string& sha256);

} // namespace quietpass
