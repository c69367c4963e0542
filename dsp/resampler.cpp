#include "dsp/resampler.h"

#include <samplerate.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <stdexcept>
#include <vector>

#include "dsp/polyphase_filter.h"

namespace quietpass::dsp {

namespace {

constexpr std::size_t kLargestUp = 640; // 11.025 kHz; the table of phases stays near 100 kB
constexpr std::size_t kFedAtOnce = 512; // what libsamplerate is fed at once, always

} // namespace

struct Resampler::Engine {
    Engine(double in_hz, double out_hz) : ratio(out_hz / in_hz) {}
    virtual ~Engine() = default;
    Engine(const Engine&) = delete;
    Engine& operator=(const Engine&) = delete;

    virtual std::size_t most_held_back() const noexcept = 0; // outputs
    virtual std::size_t process(std::span<const float> in, std::span<float> out) noexcept = 0;
    // Writes at most `wanted` more samples, as if silence followed.
    virtual std::size_t drain(std::size_t wanted, std::span<float> out) noexcept = 0;
    virtual void reset() noexcept = 0;

    double ratio;
    std::int64_t taken = 0;
    std::int64_t given = 0;
};

namespace {

class PassThrough final : public Resampler::Engine {
  public:
    PassThrough() : Engine(1.0, 1.0) {}
    std::size_t most_held_back() const noexcept override { return 0; }
    std::size_t process(std::span<const float> in, std::span<float> out) noexcept override {
        std::copy(in.begin(), in.end(), out.begin());
        return in.size();
    }
    std::size_t drain(std::size_t, std::span<float>) noexcept override { return 0; }
    void reset() noexcept override {}
};

class Polyphase final : public Resampler::Engine {
  public:
    Polyphase(std::size_t up, std::size_t down)
        : Engine(static_cast<double>(down), static_cast<double>(up)), filter_(up, down) {}

    std::size_t most_held_back() const noexcept override {
        return static_cast<std::size_t>(static_cast<double>(filter_.taps_per_phase()) * ratio) + 2;
    }
    std::size_t process(std::span<const float> in, std::span<float> out) noexcept override {
        return filter_.process(in, out);
    }
    std::size_t drain(std::size_t wanted, std::span<float> out) noexcept override {
        constexpr std::array<float, 1> kSilence{};
        std::array<float, 32> spill{}; // one input gives at most 192/8 outputs
        std::size_t written = 0;
        while (written < wanted) {
            const std::size_t got = filter_.process(kSilence, spill);
            const std::size_t kept = std::min(got, wanted - written);
            std::copy_n(spill.begin(), kept, out.begin() + static_cast<std::ptrdiff_t>(written));
            written += kept;
        }
        return written;
    }
    void reset() noexcept override { filter_.reset(); }

  private:
    PolyphaseFilter filter_;
};

class AnyRatio final : public Resampler::Engine {
  public:
    AnyRatio(double in_hz, double out_hz)
        : Engine(in_hz, out_hz), state_(src_new(SRC_SINC_MEDIUM_QUALITY, 1, nullptr)), pending_(kFedAtOnce) {
        if (!state_) throw std::bad_alloc();
    }

    std::size_t most_held_back() const noexcept override {
        // The longest reach of the library's medium filter is some 46 zero crossings of the lower rate.
        return static_cast<std::size_t>(static_cast<double>(kFedAtOnce) * ratio) + 256;
    }
    std::size_t process(std::span<const float> in, std::span<float> out) noexcept override {
        std::size_t written = 0;
        while (!in.empty()) {
            const std::size_t count = std::min(in.size(), kFedAtOnce - held_);
            std::copy_n(in.begin(), count, pending_.begin() + static_cast<std::ptrdiff_t>(held_));
            held_ += count;
            in = in.subspan(count);
            if (held_ == kFedAtOnce) written += feed(out.subspan(written), false);
        }
        return written;
    }
    std::size_t drain(std::size_t wanted, std::span<float> out) noexcept override {
        const std::size_t got = feed(out, true);
        const std::size_t kept = std::min(got, wanted);
        std::fill(out.begin() + static_cast<std::ptrdiff_t>(kept),
                  out.begin() + static_cast<std::ptrdiff_t>(wanted), 0.0F);
        return wanted;
    }
    void reset() noexcept override {
        src_reset(state_.get());
        held_ = 0;
    }

  private:
    struct Delete {
        void operator()(SRC_STATE* state) const noexcept { src_delete(state); }
    };

    std::size_t feed(std::span<float> out, bool last) noexcept {
        SRC_DATA job{};
        job.src_ratio = ratio;
        job.end_of_input = last ? 1 : 0;
        std::size_t used = 0;
        std::size_t written = 0;
        for (;;) {
            job.data_in = pending_.data() + used;
            job.input_frames = static_cast<long>(held_ - used);
            job.data_out = out.data() + written;
            job.output_frames = static_cast<long>(out.size() - written);
            if (src_process(state_.get(), &job) != 0) break;
            used += static_cast<std::size_t>(job.input_frames_used);
            written += static_cast<std::size_t>(job.output_frames_gen);
            if (job.input_frames_used == 0 && job.output_frames_gen == 0) break;
        }
        held_ = 0;
        return written;
    }

    std::unique_ptr<SRC_STATE, Delete> state_;
    std::vector<float> pending_;
    std::size_t held_ = 0;
};

std::unique_ptr<Resampler::Engine> engine_for(double rate_hz, double out_rate_hz) {
    if (rate_hz == out_rate_hz) return std::make_unique<PassThrough>();
    if (rate_hz == std::floor(rate_hz) && out_rate_hz == std::floor(out_rate_hz)) {
        const auto in = static_cast<std::size_t>(rate_hz);
        const auto out = static_cast<std::size_t>(out_rate_hz);
        const std::size_t common = std::gcd(in, out);
        if (out / common <= kLargestUp) return std::make_unique<Polyphase>(out / common, in / common);
    }
    return std::make_unique<AnyRatio>(rate_hz, out_rate_hz);
}

} // namespace

Resampler::Resampler(double rate_hz, double out_rate_hz) {
    const auto usable = [](double rate) { return rate >= 8000.0 && rate <= 192000.0; };
    if (!usable(rate_hz) || !usable(out_rate_hz)) {
        throw std::invalid_argument("Resampler: sample rates must lie within 8000 and 192000 Hz");
    }
    engine_ = engine_for(rate_hz, out_rate_hz);
}

Resampler::~Resampler() = default;
Resampler::Resampler(Resampler&&) noexcept = default;
Resampler& Resampler::operator=(Resampler&&) noexcept = default;

std::size_t Resampler::max_output(std::size_t count) const noexcept {
    return static_cast<std::size_t>(std::ceil(static_cast<double>(count) * engine_->ratio)) +
           engine_->most_held_back();
}

std::size_t Resampler::process(std::span<const float> in, std::span<float> out) noexcept {
    assert(out.size() >= max_output(in.size()));
    const std::size_t written = engine_->process(in, out);
    engine_->taken += static_cast<std::int64_t>(in.size());
    engine_->given += static_cast<std::int64_t>(written);
    return written;
}

std::size_t Resampler::finish(std::span<float> out) noexcept {
    assert(out.size() >= max_output(0));
    // Whole-number ratios must not be pushed over the next sample by rounding.
    const auto due =
        static_cast<std::int64_t>(std::ceil(static_cast<double>(engine_->taken) * engine_->ratio - 1e-6));
    const std::size_t wanted = due > engine_->given ? static_cast<std::size_t>(due - engine_->given) : 0;
    const std::size_t written = engine_->drain(std::min(wanted, out.size()), out);
    engine_->given += static_cast<std::int64_t>(written);
    return written;
}

void Resampler::reset() noexcept {
    engine_->reset();
    engine_->taken = 0;
    engine_->given = 0;
}

} // namespace quietpass::dsp
