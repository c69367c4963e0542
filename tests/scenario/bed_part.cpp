#include "tests/scenario/bed_part.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "tests/scenario/fast_noise.h"
#include "tests/scenario/filters.h"
#include "tests/scenario/wander.h"

namespace quietpass::scenario {

namespace {

constexpr double kTurn = 2.0 * std::numbers::pi;
constexpr std::size_t kTick = BedPart::kTick;

// Pink noise by three poles (P. Kellet, "economy" filter, made for 44.1 kHz; its slope holds at other rates).
class RoomNoise final : public BedPart {
  public:
    explicit RoomNoise(const PartSeeds& seeds) : noise_(Random(seeds.here).bits()) {}
    void add(std::span<float> out, float gain) noexcept override {
        for (float& sample : out) {
            const float white = noise_.next();
            a_ = 0.99765F * a_ + white * 0.0990460F;
            b_ = 0.96300F * b_ + white * 0.2965164F;
            c_ = 0.57000F * c_ + white * 1.0526913F;
            sample += gain * (a_ + b_ + c_ + white * 0.1848F);
        }
    }

  private:
    FastNoise noise_;
    float a_ = 0.0F, b_ = 0.0F, c_ = 0.0F;
};

class Hiss final : public BedPart {
  public:
    Hiss(const PartSeeds& seeds, double rate_hz)
        : noise_(Random(seeds.here).bits()), keep_(static_cast<float>(std::exp(-kTurn * 2500.0 / rate_hz))) {}
    void add(std::span<float> out, float gain) noexcept override {
        for (float& sample : out) {
            const float white = noise_.next();
            low_ = keep_ * low_ + (1.0F - keep_) * white;
            sample += gain * (white - low_);
        }
    }

  private:
    FastNoise noise_;
    float keep_, low_ = 0.0F;
};

// A tone that turns by a fixed angle a sample; the angle may change between ticks.
class Rotor {
  public:
    explicit Rotor(double start = 0.0) : re_(std::cos(start)), im_(std::sin(start)) {}
    void set(double angle) noexcept {
        step_re_ = std::cos(angle);
        step_im_ = std::sin(angle);
        const double size = 1.0 / std::sqrt(re_ * re_ + im_ * im_);
        re_ *= size;
        im_ *= size;
    }
    double next() noexcept {
        const double re = re_ * step_re_ - im_ * step_im_;
        im_ = re_ * step_im_ + im_ * step_re_;
        return re_ = re;
    }

  private:
    double re_, im_;
    double step_re_ = 1.0, step_im_ = 0.0;
};

// The rush of air, beaten by the blades, and the tone of the blades with its harmonics.
class FanNoise final : public BedPart {
  public:
    FanNoise(const PartSeeds& seeds, double rate_hz, double tone_hz)
        : noise_(Random(seeds.here).bits()),
          speed_(seeds.plant, static_cast<double>(kTick) / rate_hz, 3.0),
          angle_(kTurn * tone_hz / rate_hz),
          keep_(static_cast<float>(std::exp(-kTurn * 900.0 / rate_hz))) {
        Random turns = seeds.here;
        for (Rotor& rotor : rotors_) rotor = Rotor(turns.uniform(0.0, kTurn));
    }
    void add(std::span<float> out, float gain) noexcept override {
        const double angle = angle_ * (1.0 + 0.003 * speed_.next());
        for (std::size_t n = 0; n < rotors_.size(); ++n) rotors_[n].set(angle * static_cast<double>(n + 1));
        for (float& sample : out) {
            const double blade = rotors_[0].next();
            const double tones =
                blade + 0.5 * rotors_[1].next() + (1.0 / 3.0) * rotors_[2].next() + 0.25 * rotors_[3].next();
            low_ = keep_ * low_ + (1.0F - keep_) * noise_.next();
            sample += gain * (4.0F * low_ * static_cast<float>(1.0 + 0.3 * blade) +
                              0.45F * static_cast<float>(tones));
        }
    }

  private:
    static constexpr std::size_t kTones = 4;
    FastNoise noise_;
    Wander speed_;
    double angle_;
    float keep_, low_ = 0.0F;
    std::array<Rotor, kTones> rotors_;
};

// A compressor: harmonics of twice the mains, on for a while, off for a while.
class Hum final : public BedPart {
  public:
    Hum(const PartSeeds& seeds, double rate_hz, double mains_hz, double on_s, double off_s)
        : switching_(seeds.plant), rate_hz_(rate_hz), on_s_(on_s), off_s_(off_s) {
        Random turns = seeds.here;
        for (std::size_t n = 0; n < kTones; ++n) {
            rotors_[n] = Rotor(turns.uniform(0.0, kTurn));
            rotors_[n].set(kTurn * mains_hz * 2.0 * static_cast<double>(n + 1) * 0.985 /
                           rate_hz); // slip of the motor
        }
        left_ = switching_.uniform(0.0, on_s) * rate_hz;
    }
    void add(std::span<float> out, float gain) noexcept override {
        left_ -= static_cast<double>(out.size());
        if (left_ <= 0.0 && off_s_ > 0.0) {
            on_ = !on_;
            left_ = (on_ ? on_s_ : off_s_) * switching_.uniform(0.8, 1.2) * rate_hz_;
        }
        const double ramp = static_cast<double>(out.size()) / (0.8 * rate_hz_);
        level_ = std::clamp(level_ + (on_ ? ramp : -ramp), 0.0, 1.0);
        const float loud = gain * static_cast<float>(level_);
        for (float& sample : out) {
            double sum = 0.0;
            for (std::size_t n = 0; n < rotors_.size(); ++n) sum += rotors_[n].next() * kGains[n];
            sample += loud * static_cast<float>(sum);
        }
    }

  private:
    static constexpr std::size_t kTones = 5;
    static constexpr std::array<double, kTones> kGains{1.0, 0.55, 0.4, 0.18, 0.12};
    Random switching_;
    double rate_hz_, on_s_, off_s_, left_ = 0.0, level_ = 1.0;
    bool on_ = true;
    std::array<Rotor, kTones> rotors_;
};

// Blows that ring: a conveyor's joints, drops on sheet metal. One ring at a time is struck; a ring that has
// died away costs nothing.
class Blows {
  public:
    Blows(double rate_hz, const std::vector<double>& rings_hz, double decay_s)
        : lasts_(static_cast<int>(2.5 * decay_s * rate_hz)) { // to -150 dB
        for (const double hz : rings_hz) rings_.push_back({Biquad::ring(rate_hz, hz, decay_s), 0});
    }
    void hit(Random& random, double loud) noexcept {
        Ring& ring = rings_[random.index(rings_.size())];
        ring.section.process(loud * std::exp(0.6 * random.normal()));
        ring.left = lasts_;
        sounding_ = true;
    }
    double next() noexcept {
        if (!sounding_) return 0.0;
        double sum = 0.0;
        sounding_ = false;
        for (Ring& ring : rings_) {
            if (ring.left <= 0) continue;
            --ring.left;
            sounding_ = true;
            sum += ring.section.process(0.0);
        }
        return sum;
    }

  private:
    struct Ring {
        Biquad section;
        int left;
    };
    int lasts_;
    bool sounding_ = false;
    std::vector<Ring> rings_;
};

class Rattle final : public BedPart {
  public:
    Rattle(const PartSeeds& seeds, double rate_hz, double blows_hz, const std::vector<Span>& stops)
        : random_(seeds.plant),
          blows_(rate_hz, {1310.0, 2270.0, 3890.0}, 0.06),
          rate_hz_(rate_hz),
          every_(rate_hz / blows_hz),
          stops_(stops) {}
    void add(std::span<float> out, float gain) noexcept override {
        const double now_s = static_cast<double>(at_) / rate_hz_;
        at_ += static_cast<std::int64_t>(out.size());
        while (stop_ < stops_.size() && stops_[stop_].end_s <= now_s) ++stop_;
        const bool running = stop_ >= stops_.size() || now_s < stops_[stop_].start_s;
        const double ramp = static_cast<double>(out.size()) / rate_hz_;
        speed_ = std::clamp(speed_ + (running ? ramp : -ramp), 0.0, 1.0);
        for (float& sample : out) {
            left_ -= speed_;
            if (left_ <= 0.0) {
                left_ = every_ * random_.uniform(0.75, 1.25);
                blows_.hit(random_, speed_);
            }
            sample += gain * static_cast<float>(blows_.next());
        }
    }

  private:
    Random random_;
    Blows blows_;
    double rate_hz_, every_, left_ = 1.0, speed_ = 1.0;
    std::vector<Span> stops_;
    std::size_t stop_ = 0;
    std::int64_t at_ = 0;
};

class Drips final : public BedPart {
  public:
    Drips(const PartSeeds& seeds, double rate_hz, double per_minute)
        : random_(seeds.here),
          blows_(rate_hz, {740.0, 1130.0, 1660.0, 2380.0}, 0.05),
          every_(rate_hz * 60.0 / per_minute) {
        left_ = random_.uniform() * every_;
    }
    void add(std::span<float> out, float gain) noexcept override {
        for (float& sample : out) {
            if (--left_ <= 0.0) {
                left_ = -every_ * std::log(1.0 - random_.uniform());
                blows_.hit(random_, 1.0);
            }
            sample += gain * static_cast<float>(blows_.next());
        }
    }

  private:
    Random random_;
    Blows blows_;
    double every_, left_ = 0.0;
};

class ClipBed final : public BedPart {
  public:
    ClipBed(const PartSeeds& seeds, double rate_hz,
            std::shared_ptr<const std::vector<std::vector<float>>> clips, double ahead_s)
        : random_(seeds.plant), clips_(std::move(clips)), fade_(static_cast<std::size_t>(0.5 * rate_hz)) {
        now_ = random_.index(clips_->size());
        then_ = random_.index(clips_->size());
        std::vector<float> passed_by(static_cast<std::size_t>(ahead_s * rate_hz));
        add(passed_by, 0.0F);
    }
    void add(std::span<float> out, float gain) noexcept override {
        for (float& sample : out) {
            const std::vector<float>& now = (*clips_)[now_];
            const std::size_t left = now.size() - at_;
            float value = now[at_];
            if (left <= fade_) {
                const float share = static_cast<float>(left) / static_cast<float>(fade_);
                value = std::sqrt(share) * value + std::sqrt(1.0F - share) * (*clips_)[then_][fade_ - left];
            }
            sample += gain * value;
            if (++at_ == now.size()) {
                at_ = fade_;
                now_ = then_;
                then_ = random_.index(clips_->size());
            }
        }
    }

  private:
    Random random_;
    std::shared_ptr<const std::vector<std::vector<float>>> clips_;
    std::size_t fade_, now_ = 0, then_ = 0, at_ = 0;
};

} // namespace

std::unique_ptr<BedPart> make_room_noise(const PartSeeds& seeds) {
    return std::make_unique<RoomNoise>(seeds);
}

std::unique_ptr<BedPart> make_hiss(const PartSeeds& seeds, double rate_hz) {
    return std::make_unique<Hiss>(seeds, rate_hz);
}

std::unique_ptr<BedPart> make_fan(const PartSeeds& seeds, double rate_hz, double tone_hz) {
    return std::make_unique<FanNoise>(seeds, rate_hz, tone_hz);
}

std::unique_ptr<BedPart> make_hum(const PartSeeds& seeds, double rate_hz, double mains_hz, double on_s,
                                  double off_s) {
    return std::make_unique<Hum>(seeds, rate_hz, mains_hz, on_s, off_s);
}

std::unique_ptr<BedPart> make_rattle(const PartSeeds& seeds, double rate_hz, double blows_hz,
                                     const std::vector<Span>& stops) {
    return std::make_unique<Rattle>(seeds, rate_hz, blows_hz, stops);
}

std::unique_ptr<BedPart> make_drips(const PartSeeds& seeds, double rate_hz, double per_minute) {
    return std::make_unique<Drips>(seeds, rate_hz, per_minute);
}

std::unique_ptr<BedPart> make_clip_bed(const PartSeeds& seeds, double rate_hz,
                                       std::shared_ptr<const std::vector<std::vector<float>>> clips,
                                       double ahead_s) {
    return std::make_unique<ClipBed>(seeds, rate_hz, std::move(clips), ahead_s);
}

} // namespace quietpass::scenario
