#include "daemon/alarms/delivery/alarm_hand_over.h"

#include <utility>

namespace quietpass {

AlarmHandOver::AlarmHandOver(AlarmOutlet* outlet, OnRow on_row, Say say, const AlarmHandOverOptions& options)
    : outlet_(outlet), on_row_(std::move(on_row)), say_(std::move(say)), options_(options) {
    if (outlet_ != nullptr) thread_ = std::thread([this] { run(); });
}

AlarmHandOver::~AlarmHandOver() {
    if (!thread_.joinable()) return;
    {
        const std::lock_guard lock(mutex_);
        stopping_ = true;
        give_up_ = std::chrono::steady_clock::now() + options_.last_flush;
    }
    wake_.notify_one();
    thread_.join();
    if (queue_.empty()) return;
    say_(true,
         std::to_string(queue_.size()) +
             " change(s) of alarms could not be put into the outbox before the end; they are told after "
             "the next start");
    for (Step& step : queue_) pass_by(std::move(step.row));
}

void AlarmHandOver::take(std::optional<AlarmMessage> message, AlarmEventRow row) {
    if (outlet_ == nullptr) return on_row_(std::move(row));
    bool first_refused = false;
    {
        const std::lock_guard lock(mutex_);
        if (queue_.size() < options_.capacity) {
            queue_.push_back({std::move(message), std::move(row)});
            wake_.notify_one();
            return;
        }
        first_refused = !std::exchange(said_full_, true);
    }
    if (first_refused) {
        say_(true, "alarms: " + std::to_string(options_.capacity) +
                       " changes wait for the outbox; further ones are written and told after the next "
                       "start; check its folder and what else holds it");
    }
    pass_by(std::move(row));
}

void AlarmHandOver::pass_by(AlarmEventRow row) {
    row.told = false;
    on_row_(std::move(row));
}

std::size_t AlarmHandOver::waiting() const {
    const std::lock_guard lock(mutex_);
    return queue_.size() + (busy_ ? 1 : 0);
}

bool AlarmHandOver::flush(std::chrono::milliseconds timeout) {
    std::unique_lock lock(mutex_);
    return done_.wait_for(lock, timeout, [this] { return queue_.empty() && !busy_; });
}

void AlarmHandOver::run() {
    std::unique_lock lock(mutex_);
    for (;;) {
        wake_.wait(lock, [this] { return stopping_ || !queue_.empty(); });
        if (queue_.empty() || (stopping_ && std::chrono::steady_clock::now() >= give_up_)) return;
        Step step = std::move(queue_.front());
        queue_.pop_front();
        busy_ = true;
        lock.unlock();
        hand_over(std::move(step));
        lock.lock();
        busy_ = false;
        // Only an empty queue is a new occasion: one that hovers at its limit is one trouble, said once.
        if (queue_.empty()) said_full_ = false;
        done_.notify_all();
    }
}

void AlarmHandOver::hand_over(Step step) {
    if (step.message) {
        try {
            outlet_->put(*step.message);
            failing_ = false;
        } catch (const std::exception& error) {
            if (!std::exchange(failing_, true)) say_(true, error.what());
        }
    }
    on_row_(std::move(step.row));
}

} // namespace quietpass
