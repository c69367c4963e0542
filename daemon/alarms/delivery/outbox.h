// The durable outbox: one SQLite file (STRICT tables, WAL, synchronous=FULL) beside the records. A message
// and a row for each channel that is to get it are on the disk when put() returns; a channel's row says
// whether the channel acknowledged it. FORMATS.md has the tables.
//
// Thread-safe: one lock around one connection. Other processes may have the file open (`alarms test` does).
//
// Errors: every method throws Failure (exit 1, one line) when the file can't be used.
#pragma once

#include <chrono>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "daemon/alarms/alarm_message.h"
#include "daemon/alarms/delivery/standing_alarms.h"

namespace quietpass {

inline constexpr const char* kOutboxFile = "outbox.db";

// One message for one channel.
struct OutboxRow {
    AlarmMessage message;
    std::string channel;
    bool done = false;
    std::int64_t attempts = 0;
    std::int64_t put_utc_ns = 0;
    std::int64_t last_try_utc_ns = 0; // 0: never
    std::int64_t next_try_utc_ns = 0; // 0: at once
    std::int64_t done_utc_ns = 0;     // 0: not yet
    std::string error;                // of the last try; empty when it went well
};

class Outbox {
  public:
    // Opens the file, or makes it.
    explicit Outbox(const std::filesystem::path& file,
                    std::chrono::milliseconds busy_timeout = std::chrono::seconds(5));
    ~Outbox();
    Outbox(Outbox&&) noexcept;
    Outbox& operator=(Outbox&&) noexcept;

    // false: a message of that id was put before; nothing is changed.
    bool put(const AlarmMessage& message, const std::vector<std::string>& channels, std::int64_t utc_ns);

    // The channel acknowledged it.
    void done(const std::string& id, const std::string& channel, std::int64_t utc_ns);
    void failed(const std::string& id, const std::string& channel, std::int64_t utc_ns,
                std::int64_t next_try_utc_ns, const std::string& error);

    // In the order in which they were put. waiting(): those not acknowledged.
    std::vector<OutboxRow> waiting() const;
    std::vector<OutboxRow> rows() const;
    std::vector<StandingAlarm> standing() const;

    // Takes out messages put before this that no channel waits for; how many.
    std::size_t prune(std::int64_t before_utc_ns);

    const std::filesystem::path& file() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
