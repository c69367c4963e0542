// The one owner of PortAudio: a thread that makes every call that starts, stops, opens, closes or lists, one
// after the other, because PortAudio is not thread-safe and its calls may hang. Callers wait with a deadline
// (real time). Make one for the process, before other threads (it sets JACK_NO_START_SERVER in the
// environment unless it is set).
#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <future>
#include <memory>
#include <optional>

namespace quietpass {

class PortAudioThread {
  public:
    // Throws Failure (exit 1) when PortAudio can't be initialised.
    PortAudioThread();
    // Terminates PortAudio; leaves a hanging call behind rather than wait for it for ever.
    ~PortAudioThread();
    PortAudioThread(const PortAudioThread&) = delete;
    PortAudioThread& operator=(const PortAudioThread&) = delete;

    // Runs `job` on the thread and gives its result, or nothing when it isn't there within `patience`. A job
    // that had not begun by then never runs; one that had finishes later and its result is destroyed on the
    // thread, so it must own all it touches. What the job throws is thrown here. Any thread may call, except
    // the thread itself.
    template <typename Result>
    std::optional<Result> run(std::function<Result()> job, std::chrono::milliseconds patience) {
        auto task = std::make_shared<std::packaged_task<Result()>>(std::move(job));
        std::future<Result> result = task->get_future();
        auto abandoned = std::make_shared<std::atomic<bool>>(false);
        post([task = std::move(task), abandoned] {
            if (!abandoned->load()) (*task)();
        });
        if (result.wait_for(patience) != std::future_status::ready) {
            abandoned->store(true);
            return std::nullopt;
        }
        return result.get();
    }

    // On the thread only: terminates and initialises again, which is how PortAudio sees devices that came.
    // Only when no stream is open (it would close them all); otherwise does nothing. Throws Failure.
    static void start_afresh();

  private:
    struct Queue;
    void post(std::function<void()> job);
    void stop();
    std::shared_ptr<Queue> queue_; // shared with the thread, which may outlive us when it hangs
};

} // namespace quietpass
