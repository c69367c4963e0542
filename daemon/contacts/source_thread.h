// The thread of a contact source, its waits and its end.
//
// start() and stop() belong to one thread; wait_until() and stopping() to the source's own. Waits are real
// time, whatever the Clock's speed.
#pragma once

#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

namespace quietpass {

using RealTime = std::chrono::steady_clock;

inline RealTime::duration real_seconds(double seconds) {
    return std::chrono::duration_cast<RealTime::duration>(std::chrono::duration<double>(seconds));
}

class SourceThread {
  public:
    ~SourceThread() { stop(); }

    // Runs `body` until it returns, which it must soon after a wait was cut short. No exception may leave it.
    void start(std::function<void()> body);
    // Returns when the body has. May be called twice.
    void stop();

    bool stopping() const;
    // False when it is time to stop.
    bool wait_until(RealTime::time_point when);

  private:
    std::thread thread_;
    mutable std::mutex mutex_;
    std::condition_variable wake_;
    bool stopping_ = false; // under mutex_
};

} // namespace quietpass
