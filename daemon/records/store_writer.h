// The one thread that writes to the record store. Rows are posted from any thread and written in batches.
//
// post() takes a lock and never waits for the disk. flush() returns when everything posted before is on the
// disk.
//
// Policy when the disk is full, read-only or locked: nothing is thrown and the process goes on; the rows
// wait in memory in their order, writing is tried again every `retry_after`, and the state says what is
// wrong. When `capacity` rows wait, further rows are refused (the oldest stay, so that the store has no
// holes before its end) and counted as `dropped`; but not the one that opens a shift, without which all
// others of it would be refused for ever, nor the one that closes it. A row that can never be stored (a bug,
// not a disk) is left out, counted as `malformed`, and the rows around it are kept.
//
// Threads: all methods from any thread. `on_change` is called on the writer thread, without a lock held,
// when writing starts to fail, when it works again, and when rows are lost; it must not call back into the
// writer.
#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "daemon/records/store.h"
#include "daemon/records/store_rows.h"

namespace quietpass {

struct StoreState {
    bool failing = false;
    std::string error;         // one line, of what fails or of what was lost; empty while all is well
    std::size_t waiting = 0;   // rows posted and not yet on the disk
    std::uint64_t written = 0; // rows on the disk
    std::uint64_t dropped = 0; // rows refused because `capacity` rows were waiting
    std::uint64_t malformed = 0;
};

struct StoreWriterOptions {
    std::size_t batch_rows = 256;               // written at the latest when so many wait …
    std::chrono::milliseconds batch_delay{500}; // … or the oldest has waited so long
    std::size_t capacity = 20000;               // a long shift's rows
    std::chrono::milliseconds retry_after{1000};
    std::chrono::milliseconds last_flush{5000}; // how long the destructor tries
};

class StoreWriter {
  public:
    using OnChange = std::function<void(const StoreState&)>;

    explicit StoreWriter(Store store, const StoreWriterOptions& options = {}, OnChange on_change = {});
    // Writes what waits, for `last_flush` at most, and joins the thread.
    ~StoreWriter();
    StoreWriter(const StoreWriter&) = delete;
    StoreWriter& operator=(const StoreWriter&) = delete;

    // Gives the shift its id and posts it. Never waits for the disk.
    std::int64_t open_shift(ShiftOpened shift);

    // false: dropped, because too many wait.
    bool post(StoreRow row);

    // true: every row posted so far is on the disk. false: not within `timeout`, or rows were lost; state()
    // tells.
    bool flush(std::chrono::milliseconds timeout);

    StoreState state() const;

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
