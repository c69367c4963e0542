// The one thread that writes clips, so that nobody who hears waits for the disk. Clips wait in memory,
// bounded; what finds no room is dropped, counted and said.
//
// Threads: all methods from any thread; what the ClipFiler says is said on the writer's.
#pragma once

#include <chrono>
#include <cstddef>
#include <memory>

#include "daemon/clips/clip_filer.h"

namespace quietpass {

struct ClipWriterOptions {
    std::size_t capacity_bytes = std::size_t{64} << 20; // of sound that waits; one clip always finds room
    std::chrono::milliseconds house_every{10'000};
    std::chrono::milliseconds row_retry{200}; // for rows that the store did not take
    std::chrono::milliseconds last_flush{5000}; // how long the destructor goes on writing
};

class ClipWriter {
  public:
    explicit ClipWriter(std::unique_ptr<ClipFiler> filer, const ClipWriterOptions& options = {});
    // Writes what waits, for last_flush at most, and joins the thread.
    ~ClipWriter();
    ClipWriter(const ClipWriter&) = delete;
    ClipWriter& operator=(const ClipWriter&) = delete;

    // Never waits for the disk. false: dropped, because too much waits.
    bool post(ClipJob job);

    // true: what was posted so far is filed or dropped, with its rows.
    bool flush(std::chrono::milliseconds timeout);

    ClipState state() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
