#include "daemon/records/store_writer.h"

#include <algorithm>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

namespace quietpass {

using std::chrono::steady_clock;

struct StoreWriter::Parts {
    Parts(Store opened, const StoreWriterOptions& chosen, OnChange callback)
        : store(std::move(opened)),
          options(chosen),
          on_change(std::move(callback)),
          next_shift_id(store.next_shift_id()) {
        options.batch_rows = std::max<std::size_t>(options.batch_rows, 1);
    }

    Store store; // the writer thread's, once it runs
    StoreWriterOptions options;
    OnChange on_change; // the writer thread's

    mutable std::mutex mutex; // everything below, down to the thread
    std::condition_variable work;
    std::condition_variable settled_more;
    std::deque<std::pair<StoreRow, steady_clock::time_point>> queue;
    std::size_t in_hand = 0;    // taken from the queue, not yet on the disk
    std::uint64_t posted = 0;   // rows ever accepted
    std::uint64_t settled = 0;  // of these, on the disk or malformed
    std::uint64_t hurry_to = 0; // flush() wants rows up to here settled
    bool hurry = false;         // try again now
    bool stopping = false;
    steady_clock::time_point give_up;
    std::int64_t next_shift_id;
    StoreState state;
    std::string last_malformed;
    bool report_due = false;

    std::vector<StoreRow> batch; // the writer thread's
    std::thread thread;

    void run();
    bool take_batch(std::unique_lock<std::mutex>& lock);
    bool write_batch(std::unique_lock<std::mutex>& lock);
    bool write_each(std::unique_lock<std::mutex>& lock);
    void settle(std::size_t rows, bool written);
    void note_failure(const std::string& error);
    void report(std::unique_lock<std::mutex>& lock);
    bool post_locked(StoreRow row);
    std::string loss() const;
};

void StoreWriter::Parts::run() {
    std::unique_lock lock(mutex);
    while (take_batch(lock)) {
        while (!write_batch(lock)) {
            report(lock);
            // Stopping shortens the wait but does not skip it: the disk gets its chances until give_up.
            const auto now = steady_clock::now();
            if (stopping && now >= give_up) return;
            const auto until =
                stopping ? std::min(now + options.retry_after, give_up) : now + options.retry_after;
            const bool was_stopping = stopping;
            work.wait_until(lock, until, [&] { return hurry || stopping != was_stopping; });
            hurry = false;
        }
        report(lock);
    }
}

// Waits for enough rows, or old enough ones, or someone in a hurry. false: stopped and nothing left.
bool StoreWriter::Parts::take_batch(std::unique_lock<std::mutex>& lock) {
    work.wait(lock, [&] { return stopping || !queue.empty(); });
    if (queue.empty()) return false;
    work.wait_until(lock, queue.front().second + options.batch_delay,
                    [&] { return stopping || hurry_to > settled || queue.size() >= options.batch_rows; });
    hurry = false;
    const std::size_t rows = std::min(queue.size(), options.batch_rows);
    batch.clear();
    for (std::size_t i = 0; i < rows; ++i) {
        batch.push_back(std::move(queue.front().first));
        queue.pop_front();
    }
    in_hand = rows;
    return true;
}

bool StoreWriter::Parts::write_batch(std::unique_lock<std::mutex>& lock) {
    std::string error;
    bool row_is_bad = false;
    lock.unlock();
    try {
        store.write(batch);
    } catch (const StoreError& failed) {
        error = failed.what();
        row_is_bad = failed.row_is_bad();
    } catch (const std::exception& failed) {
        error = failed.what();
    }
    lock.lock();
    if (error.empty()) {
        settle(batch.size(), true);
        return true;
    }
    if (row_is_bad) return write_each(lock);
    note_failure(error);
    return false;
}

// One row spoils the batch: each on its own, so that only that one is lost.
bool StoreWriter::Parts::write_each(std::unique_lock<std::mutex>& lock) {
    while (!batch.empty()) {
        std::string error;
        bool row_is_bad = false;
        lock.unlock();
        try {
            store.write(std::span(batch).first(1));
        } catch (const StoreError& failed) {
            error = failed.what();
            row_is_bad = failed.row_is_bad();
        } catch (const std::exception& failed) {
            error = failed.what();
        }
        lock.lock();
        if (!error.empty() && !row_is_bad) {
            note_failure(error);
            return false;
        }
        batch.erase(batch.begin());
        settle(1, error.empty());
        if (!error.empty()) {
            ++state.malformed;
            last_malformed = error;
            state.error = loss();
            report_due = true;
        }
    }
    return true;
}

void StoreWriter::Parts::settle(std::size_t rows, bool written) {
    in_hand -= rows;
    settled += rows;
    if (written) {
        state.written += rows;
        if (state.failing) {
            state.failing = false;
            state.error = loss();
            report_due = true;
        }
    }
    settled_more.notify_all();
}

void StoreWriter::Parts::note_failure(const std::string& error) {
    if (!state.failing || state.error != error) report_due = true;
    state.failing = true;
    state.error = error;
}

void StoreWriter::Parts::report(std::unique_lock<std::mutex>& lock) {
    if (!std::exchange(report_due, false) || !on_change) return;
    StoreState now = state;
    now.waiting = queue.size() + in_hand;
    lock.unlock();
    try {
        on_change(now);
    } catch (...) {
        // An exception must not cross the thread's end; the state stays for whoever asks.
    }
    lock.lock();
}

// What can't be mended any more; empty when nothing was lost.
std::string StoreWriter::Parts::loss() const {
    std::string text;
    if (state.dropped > 0) {
        text = std::to_string(state.dropped) + " rows were dropped because " +
               std::to_string(options.capacity) + " were waiting for the disk";
    }
    if (state.malformed > 0) {
        if (!text.empty()) text += "; ";
        text += std::to_string(state.malformed) + " rows could never be stored, the last: " + last_malformed;
    }
    return text;
}

bool StoreWriter::Parts::post_locked(StoreRow row) {
    const bool needed = std::holds_alternative<ShiftOpened>(row) || std::holds_alternative<ShiftClosed>(row);
    if (!needed && queue.size() + in_hand >= options.capacity) {
        ++state.dropped;
        if (!state.failing) state.error = loss();
        report_due = true;
        return false;
    }
    queue.emplace_back(std::move(row), steady_clock::now());
    ++posted;
    return true;
}

StoreWriter::StoreWriter(Store store, const StoreWriterOptions& options, OnChange on_change)
    : parts_(std::make_unique<Parts>(std::move(store), options, std::move(on_change))) {
    parts_->thread = std::thread([parts = parts_.get()] { parts->run(); });
}

StoreWriter::~StoreWriter() {
    {
        const std::lock_guard lock(parts_->mutex);
        parts_->stopping = true;
        parts_->give_up = steady_clock::now() + parts_->options.last_flush;
    }
    parts_->work.notify_one();
    parts_->thread.join();
}

std::int64_t StoreWriter::open_shift(ShiftOpened shift) {
    std::int64_t shift_id = 0;
    {
        const std::lock_guard lock(parts_->mutex);
        shift_id = parts_->next_shift_id++;
        shift.shift_id = shift_id;
        parts_->post_locked(std::move(shift));
    }
    parts_->work.notify_one();
    return shift_id;
}

bool StoreWriter::post(StoreRow row) {
    bool accepted = false;
    {
        const std::lock_guard lock(parts_->mutex);
        accepted = parts_->post_locked(std::move(row));
    }
    parts_->work.notify_one();
    return accepted;
}

bool StoreWriter::flush(std::chrono::milliseconds timeout) {
    std::unique_lock lock(parts_->mutex);
    const std::uint64_t target = parts_->posted;
    const auto complete = [this] { return parts_->state.dropped == 0 && parts_->state.malformed == 0; };
    if (parts_->settled >= target) return complete();
    parts_->hurry_to = std::max(parts_->hurry_to, target);
    parts_->hurry = true;
    parts_->work.notify_one();
    return parts_->settled_more.wait_for(lock, timeout, [&] { return parts_->settled >= target; }) &&
           complete();
}

StoreState StoreWriter::state() const {
    const std::lock_guard lock(parts_->mutex);
    StoreState now = parts_->state;
    now.waiting = parts_->queue.size() + parts_->in_hand;
    return now;
}

} // namespace quietpass
