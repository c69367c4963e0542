#include "daemon/capture/portaudio_thread.h"

#include <alsa/asoundlib.h>
#include <dlfcn.h>
#include <portaudio.h>

#include <condition_variable>
#include <cstdlib>
#include <deque>
#include <mutex>
#include <string>
#include <thread>

#include "daemon/capture/portaudio_stream.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::chrono::seconds kStartPatience{15};
constexpr std::chrono::seconds kStopPatience{5};

void say_nothing_of_alsa(const char*, int, const char*, int, const char*, ...) {}
void say_nothing_of_jack(const char*) {}

// Both libraries tell standard error about every device and server that they look for and don't find; what
// matters comes back as PortAudio's errors.
void mute_libraries() {
    snd_lib_error_set_handler(say_nothing_of_alsa);
    using SetFunction = void (*)(void (*)(const char*));
    for (const char* name : {"jack_set_error_function", "jack_set_info_function"}) {
        // Only there where PortAudio was built with JACK.
        if (void* symbol = dlsym(RTLD_DEFAULT, name))
            reinterpret_cast<SetFunction>(symbol)(say_nothing_of_jack);
    }
}

// PortAudio aborts the process when ALSA's configuration is empty, so that is found out first.
void check_alsa_configuration() {
    snd_config_t* devices = nullptr;
    if (snd_config_update() >= 0 && snd_config_search(snd_config, "pcm", &devices) >= 0) return;
    const char* path = std::getenv("ALSA_CONFIG_PATH");
    throw Failure(kExitFailure, "sound system: ALSA's configuration" +
                                    (path != nullptr ? " " + std::string(path) : std::string()) +
                                    " names no devices: " +
                                    (path != nullptr ? "correct or unset ALSA_CONFIG_PATH"
                                                     : "reinstall the package libasound2-data"));
}

void initialise() {
    check_alsa_configuration();
    const PaError error = Pa_Initialize();
    if (error != paNoError) {
        throw Failure(kExitFailure, std::string("sound system: PortAudio does not start (") +
                                        Pa_GetErrorText(error) + "): check ALSA with `arecord -l`");
    }
    mute_libraries();
}

} // namespace

struct PortAudioThread::Queue {
    std::mutex mutex; // guards all below
    std::condition_variable changed;
    std::deque<std::function<void()>> jobs;
    bool stop = false;
    bool stopped = false;
};

PortAudioThread::PortAudioThread() : queue_(std::make_shared<Queue>()) {
    setenv("JACK_NO_START_SERVER", "1", 0);
    mute_libraries();
    std::thread([queue = queue_] {
        std::unique_lock lock(queue->mutex);
        for (;;) {
            queue->changed.wait(lock, [&] { return queue->stop || !queue->jobs.empty(); });
            if (queue->jobs.empty()) break; // the jobs before the stop are still done: they close streams
            std::function<void()> job = std::move(queue->jobs.front());
            queue->jobs.pop_front();
            lock.unlock();
            job();
            job = nullptr; // what it owned goes here, on this thread
            lock.lock();
        }
        lock.unlock();
        Pa_Terminate();
        lock.lock();
        queue->stopped = true;
        queue->changed.notify_all();
    }).detach();
    std::optional<bool> started;
    try {
        started = run<bool>(
            [] {
                initialise();
                return true;
            },
            kStartPatience);
    } catch (const Failure&) {
        stop();
        throw;
    }
    if (!started) {
        stop();
        throw Failure(kExitFailure,
                      "sound system: PortAudio hangs at its start: check the sound server and the cables");
    }
}

PortAudioThread::~PortAudioThread() {
    stop();
}

void PortAudioThread::stop() {
    std::unique_lock lock(queue_->mutex);
    queue_->stop = true;
    queue_->changed.notify_all();
    queue_->changed.wait_for(lock, kStopPatience, [&] { return queue_->stopped; });
}

void PortAudioThread::post(std::function<void()> job) {
    {
        const std::lock_guard lock(queue_->mutex);
        queue_->jobs.push_back(std::move(job));
    }
    queue_->changed.notify_all();
}

void PortAudioThread::start_afresh() {
    if (PortAudioStream::open_streams() > 0) return;
    Pa_Terminate();
    // ALSA keeps the configuration it read first; a card that came later may need another.
    snd_config_update_free_global();
    initialise();
}

} // namespace quietpass
