#include "daemon/contacts/source_thread.h"

#include <csignal>
#include <utility>

namespace quietpass {

void SourceThread::start(std::function<void()> body) {
    // Signals are the main thread's business; a thread begins with its maker's mask.
    sigset_t all;
    sigset_t before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    stopping_ = false;
    thread_ = std::thread(std::move(body));
    pthread_sigmask(SIG_SETMASK, &before, nullptr);
}

void SourceThread::stop() {
    {
        const std::lock_guard lock(mutex_);
        stopping_ = true;
    }
    wake_.notify_all();
    if (thread_.joinable()) thread_.join();
}

bool SourceThread::stopping() const {
    const std::lock_guard lock(mutex_);
    return stopping_;
}

bool SourceThread::wait_until(RealTime::time_point when) {
    std::unique_lock lock(mutex_);
    return !wake_.wait_until(lock, when, [this] { return stopping_; });
}

} // namespace quietpass
