#include "daemon/capture/portaudio_source.h"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <thread>

#include "daemon/capture/loss_finder.h"
#include "daemon/capture/portaudio_stream.h"
#include "daemon/capture/portaudio_thread.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::int64_t kSecondNs = 1'000'000'000;
constexpr std::int64_t kQuietNs = kSecondNs; // without callbacks for so long: unplugged
constexpr std::int64_t kFirstWaitNs = kSecondNs / 2;
constexpr std::int64_t kLongestWaitNs = 3 * kSecondNs;
// Real time. The callbacks must be missing at several looks in a row: when the whole machine stood still, the
// watch may wake before PortAudio does.
constexpr std::chrono::milliseconds kLookEvery{50};
constexpr int kQuietLooks = 3;
// Real time. A ring can't wake its reader without a lock in the callback, so the reader looks.
constexpr std::chrono::milliseconds kReadEvery{10};
constexpr std::chrono::seconds kCallPatience{10};
constexpr std::chrono::seconds kClosePatience{5};

using StreamPointer = std::shared_ptr<PortAudioStream>;

} // namespace

struct PortAudioSource::Parts {
    Parts(PortAudioThread& audio_thread, const Clock& the_clock, const MicrophoneWish& microphone)
        : audio(audio_thread), clock(the_clock), wish(microphone) {}

    // Opens `wish`; null when PortAudio did not answer. Throws what PortAudioStream throws.
    StreamPointer open(bool afresh) {
        auto opened = audio.run<StreamPointer>(
            [wish = wish, clock = &clock, afresh] {
                if (afresh) PortAudioThread::start_afresh();
                return std::make_shared<PortAudioStream>(wish, *clock);
            },
            kCallPatience);
        return opened ? *std::move(opened) : nullptr;
    }

    bool close(std::chrono::milliseconds patience) {
        if (!stream) return true;
        auto closed = audio.run<bool>(
            [stream = std::move(stream)]() mutable {
                stream.reset();
                return true;
            },
            patience);
        stream = nullptr;
        return closed.has_value();
    }

    void connect(StreamPointer opened) {
        stream = std::move(opened);
        opened_ns = clock.monotonic_ns();
        quiet_looks = 0;
        const std::lock_guard lock(mutex);
        ring = stream->ring();
        ++generation;
        health.connected = true;
        health.hanging = false;
        health.last_failure.clear();
    }

    bool gone_quiet() {
        const std::int64_t now_ns = clock.monotonic_ns();
        const std::int64_t last_ns = std::max(stream->ring()->last_push_ns(), opened_ns);
        if (stream->ring()->last_push_ns() > opened_ns && now_ns - opened_ns > kLongestWaitNs)
            wait_ns = kFirstWaitNs;
        quiet_looks = now_ns - last_ns > kQuietNs ? quiet_looks + 1 : 0;
        return quiet_looks >= kQuietLooks;
    }

    void disconnect() {
        {
            const std::lock_guard lock(mutex);
            ring = nullptr;
            ++generation;
            health.connected = false;
        }
        const bool closed = close(kCallPatience);
        const std::lock_guard lock(mutex);
        health.hanging = !closed;
        next_attempt_ns = clock.monotonic_ns() + wait_ns;
    }

    void try_again() {
        std::string failure;
        StreamPointer opened;
        try {
            opened = open(true);
            if (!opened) failure = "PortAudio does not answer";
        } catch (const std::exception& error) {
            failure = error.what();
        }
        wait_ns = std::min(2 * wait_ns, kLongestWaitNs);
        if (opened) {
            connect(std::move(opened));
            const std::lock_guard lock(mutex);
            ++health.reopened;
            return;
        }
        next_attempt_ns = clock.monotonic_ns() + wait_ns;
        const std::lock_guard lock(mutex);
        health.hanging = failure == "PortAudio does not answer";
        health.last_failure = std::move(failure);
    }

    void watch() {
        std::unique_lock lock(mutex);
        while (!stopping.wait_for(lock, kLookEvery, [&] { return stop; })) {
            lock.unlock();
            if (stream) {
                if (gone_quiet()) disconnect();
            } else if (clock.monotonic_ns() >= next_attempt_ns) {
                try_again();
            }
            lock.lock();
        }
    }

    PortAudioThread& audio;
    const Clock& clock;
    MicrophoneWish wish;
    std::string device_name;

    // The watching thread's (the constructor's before, the destructor's after).
    StreamPointer stream;
    std::int64_t opened_ns = 0;
    std::int64_t wait_ns = kFirstWaitNs;
    std::int64_t next_attempt_ns = 0;
    int quiet_looks = 0;

    std::mutex mutex; // guards the five below
    std::condition_variable stopping;
    bool stop = false;
    std::shared_ptr<CaptureRing> ring; // null while disconnected
    std::int64_t generation = 0;       // of `ring`
    Health health;

    // The processing thread's.
    std::unique_ptr<LossFinder> finder;
    std::shared_ptr<CaptureRing> reading;
    std::int64_t reading_generation = 0;
    CapturedPacket packet;
    std::int64_t flags_of_past_rings = 0;

    std::thread watcher;
};

PortAudioSource::PortAudioSource(PortAudioThread& audio, const Clock& clock, const MicrophoneWish& wish)
    : parts_(std::make_unique<Parts>(audio, clock, wish)) {
    StreamPointer opened = parts_->open(false);
    if (!opened) {
        throw Failure(kExitFailure, "microphone \"" + wish.device +
                                        "\" hangs while it is opened: unplug it, plug it in and start again");
    }
    parts_->wish.rate_hz = opened->rate_hz(); // also after a reopening: the station's time base hangs on it
    parts_->device_name = opened->device_name();
    parts_->finder = std::make_unique<LossFinder>(opened->rate_hz(), wish.channels);
    parts_->connect(std::move(opened));
    parts_->reading = parts_->ring;
    parts_->reading_generation = parts_->generation;
    parts_->watcher = std::thread([parts = parts_.get()] { parts->watch(); });
}

PortAudioSource::~PortAudioSource() {
    {
        const std::lock_guard lock(parts_->mutex);
        parts_->stop = true;
    }
    parts_->stopping.notify_all();
    parts_->watcher.join();
    parts_->close(kClosePatience);
}

int PortAudioSource::channels() const {
    return parts_->wish.channels;
}

double PortAudioSource::sample_rate_hz() const {
    return parts_->wish.rate_hz;
}

const ClockFit* PortAudioSource::clock_fit() const {
    return &parts_->finder->fit();
}

const std::string& PortAudioSource::device_name() const {
    return parts_->device_name;
}

bool PortAudioSource::next(Stretch& stretch, std::int64_t deadline_ns) {
    Parts& parts = *parts_;
    for (;;) {
        std::int64_t generation = 0;
        std::shared_ptr<CaptureRing> ring;
        {
            const std::lock_guard lock(parts.mutex);
            generation = parts.generation;
            ring = parts.ring;
            Health& health = parts.health;
            health.samples_heard = parts.finder->heard();
            health.samples_lost = parts.finder->lost();
            health.drift_ppm = parts.finder->fit().drift_ppm();
            health.fit_error_s = parts.finder->fit().error_s();
            health.overflow_flags =
                parts.flags_of_past_rings + (parts.reading ? parts.reading->overflow_flags() : 0);
        }
        if (parts.finder->next(stretch)) return true;
        // The generation was read before the ring was found empty, so nothing of the old stream is left
        // behind.
        if (parts.reading && parts.reading->pop(parts.packet)) {
            parts.finder->take(std::move(parts.packet));
            continue;
        }
        if (generation != parts.reading_generation) {
            if (parts.reading) {
                parts.flags_of_past_rings += parts.reading->overflow_flags();
                parts.finder->stream_lost();
            }
            parts.reading = std::move(ring);
            parts.reading_generation = generation;
            continue;
        }
        const std::int64_t now_ns = parts.clock.monotonic_ns();
        if (!parts.reading) {
            parts.finder->lost_until(now_ns);
            if (parts.finder->next(stretch)) return true;
        }
        if (now_ns >= deadline_ns) return false;
        std::this_thread::sleep_for(kReadEvery);
    }
}

PortAudioSource::Health PortAudioSource::health() const {
    const std::lock_guard lock(parts_->mutex);
    return parts_->health;
}

} // namespace quietpass
