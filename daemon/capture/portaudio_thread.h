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
#include <string>

#include "daemon/failure.h"

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
    // thread, so it must own all it touches. A Failure of the job is carried over and thrown here. Any thread
    // may call, except the thread itself.
    template <typename Result>
    std::optional<Result> run(std::function<Result()> job, std::chrono::milliseconds patience) {
        auto task = std::make_shared<std::packaged_task<Outcome<Result>()>>(
            [job = std::move(job)]() -> Outcome<Result> { return outcome_of(job); });
        std::future<Outcome<Result>> outcome = task->get_future();
        auto abandoned = std::make_shared<std::atomic<bool>>(false);
        post([task = std::move(task), abandoned] {
            if (!abandoned->load()) (*task)();
        });
        if (outcome.wait_for(patience) != std::future_status::ready) {
            abandoned->store(true);
            return std::nullopt;
        }
        Outcome<Result> done = outcome.get();
        if (!done.result) throw Failure(done.exit_code, done.failure);
        return std::move(done.result);
    }

    // On the thread only: terminates and initialises again, which is how PortAudio sees devices that came.
    // Only when no stream is open (it would close them all); otherwise does nothing. Throws Failure.
    static void start_afresh();

  private:
    // Exceptions don't cross threads; their content does.
    template <typename Result>
    struct Outcome {
        std::optional<Result> result;
        int exit_code = 0;
        std::string failure;
    };

    template <typename Result>
    static Outcome<Result> outcome_of(const std::function<Result()>& job) {
        try {
            return {job(), 0, {}};
        } catch (const Failure& failure) {
            return {std::nullopt, failure.exit_code(), failure.what()};
        } catch (const std::exception& error) {
            return {std::nullopt, kExitFailure, std::string("sound system: ") + error.what()};
        }
    }

    struct Queue;
    void post(std::function<void()> job);
    void stop();
    std::shared_ptr<Queue> queue_; // shared with the thread, which may outlive us when it hangs
};

} // namespace quietpass
