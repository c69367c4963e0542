#include "daemon/clips/clip_writer.h"

#include <algorithm>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>

namespace quietpass {

using std::chrono::steady_clock;

struct ClipWriter::Parts {
    std::unique_ptr<ClipFiler> filer; // the thread's, once it runs
    ClipWriterOptions options;

    mutable std::mutex mutex; // everything below, down to the thread
    std::condition_variable work;
    std::condition_variable settled_more;
    std::deque<ClipJob> queue;
    std::size_t waiting_bytes = 0;
    std::uint64_t posted = 0;
    std::uint64_t settled = 0;
    std::uint64_t no_room = 0; // dropped by post()
    bool stopping = false;
    bool rows_wait = false;
    steady_clock::time_point give_up;
    ClipState state;

    std::thread thread;

    void run();
    // What the filer does, with the state taken from it afterwards.
    template <typename Act>
    void act(std::unique_lock<std::mutex>& lock, Act doing) {
        lock.unlock();
        doing();
        const bool waits = !filer->settle();
        const ClipState now = filer->state();
        lock.lock();
        state = now;
        rows_wait = waits;
    }
};

void ClipWriter::Parts::run() {
    std::unique_lock lock(mutex);
    act(lock, [this] { filer->open(); });
    auto house_due = steady_clock::now() + options.house_every;
    for (;;) {
        // Rows that the store did not take are offered again soon, also while it ends.
        const auto look_again = steady_clock::now() + (rows_wait ? options.row_retry : options.house_every);
        const bool was_stopping = stopping;
        work.wait_until(lock, std::min(house_due, look_again), [&] {
            return stopping != was_stopping || (stopping && !rows_wait) || !queue.empty();
        });
        const bool late = stopping && steady_clock::now() >= give_up;
        if (late || (stopping && queue.empty() && !rows_wait)) break;
        if (!queue.empty()) {
            ClipJob job = std::move(queue.front());
            queue.pop_front();
            act(lock, [&] { filer->file(job); });
            waiting_bytes -= job.cut.bytes();
            ++settled;
        } else if (rows_wait) {
            act(lock, [] {});
        }
        settled_more.notify_all();
        if (steady_clock::now() >= house_due) {
            act(lock, [this] { filer->keep_house(); });
            house_due = steady_clock::now() + options.house_every;
        }
    }
}

ClipWriter::ClipWriter(std::unique_ptr<ClipFiler> filer, const ClipWriterOptions& options)
    : parts_(std::make_unique<Parts>()) {
    parts_->filer = std::move(filer);
    parts_->options = options;
    parts_->thread = std::thread([parts = parts_.get()] { parts->run(); });
}

ClipWriter::~ClipWriter() {
    {
        const std::lock_guard lock(parts_->mutex);
        parts_->stopping = true;
        parts_->give_up = steady_clock::now() + parts_->options.last_flush;
    }
    parts_->work.notify_one();
    parts_->thread.join();
}

bool ClipWriter::post(ClipJob job) {
    {
        const std::lock_guard lock(parts_->mutex);
        const std::size_t bytes = job.cut.bytes();
        if (parts_->waiting_bytes > 0 && parts_->waiting_bytes + bytes > parts_->options.capacity_bytes) {
            ++parts_->no_room;
            return false;
        }
        parts_->waiting_bytes += bytes;
        parts_->queue.push_back(std::move(job));
        ++parts_->posted;
    }
    parts_->work.notify_one();
    return true;
}

bool ClipWriter::flush(std::chrono::milliseconds timeout) {
    std::unique_lock lock(parts_->mutex);
    const std::uint64_t target = parts_->posted;
    return parts_->settled_more.wait_for(lock, timeout,
                                         [&] { return parts_->settled >= target && !parts_->rows_wait; });
}

ClipState ClipWriter::state() const {
    const std::lock_guard lock(parts_->mutex);
    ClipState now = parts_->state;
    now.dropped += parts_->no_room;
    return now;
}

} // namespace quietpass
