#include "daemon/web/live_sound.h"

#include <algorithm>
#include <bit>
#include <cmath>

#include "daemon/web/spectrum_bands.h"
#include "dsp/filter_bank.h"
#include "dsp/power_spectrum.h"

namespace quietpass {

namespace {

constexpr int kFramesAColumn = 2;
constexpr double kFrame_s = kColumn_s / kFramesAColumn;
constexpr double kSecond_s = 1.0;

dsp::FilterBank bank_of(double bin_hz, std::size_t bins) {
    return dsp::FilterBank::mel(bins, bin_hz, kSpectrumBands, kLowestBand_hz, kHighestBand_hz);
}

std::size_t bins_to_highest(double bin_hz) {
    return static_cast<std::size_t>(std::ceil(kHighestBand_hz / bin_hz)) + 2;
}

double decibels(double power) {
    return 10.0 * std::log10(std::max(power, 1e-20));
}

} // namespace

std::vector<double> spectrum_centres_hz() {
    constexpr double kBin_hz = 5.0;
    const dsp::FilterBank bank = bank_of(kBin_hz, bins_to_highest(kBin_hz));
    std::vector<double> centres;
    for (std::size_t band = 0; band < bank.count(); ++band) centres.push_back(bank.edges(band).centre_hz);
    return centres;
}

struct LiveSound::Track {
    double rate_hz;
    dsp::PowerSpectrum spectrum;
    std::vector<float> frame;
    std::vector<float> power;
    std::vector<float> mean; // [up to kHighestBand_hz], of the frames of this column
    dsp::FilterBank bank;
    std::array<float, kSpectrumBands> bands{};

    std::size_t hop;        // samples from one frame to the next
    std::size_t in_hop = 0; // heard of this one
    int frames = 0;         // of this column
    double column_start_s = 0.0;

    std::size_t in_second = 0;
    double second_start_s = 0.0;
    double sum = 0.0;
    double squares = 0.0;

    explicit Track(double rate)
        : rate_hz(rate),
          spectrum(std::bit_floor(static_cast<std::size_t>(kFrame_s * rate))),
          frame(spectrum.size()),
          power(spectrum.bins()),
          mean(std::max(bins_to_highest(bin_hz()), spectrum.bins())),
          bank(bank_of(bin_hz(), mean.size())),
          hop(static_cast<std::size_t>(kFrame_s * rate)) {}

    double bin_hz() const { return rate_hz / static_cast<double>(spectrum.size()); }

    void begin() {
        in_hop = 0;
        frames = 0;
        in_second = 0;
        sum = squares = 0.0;
    }

    // How many of these samples it takes until a hop or a second ends.
    std::size_t until_something(std::size_t count) const {
        return std::min({count, hop - in_hop, static_cast<std::size_t>(rate_hz) - in_second});
    }

    void take(std::span<const float> samples) {
        if (in_hop < frame.size()) {
            const auto used = samples.first(std::min(samples.size(), frame.size() - in_hop));
            std::copy(used.begin(), used.end(), frame.begin() + static_cast<std::ptrdiff_t>(in_hop));
        }
        in_hop += samples.size();
        in_second += samples.size();
        for (const float sample : samples) {
            sum += static_cast<double>(sample);
            squares += static_cast<double>(sample) * static_cast<double>(sample);
        }
    }

    void end_frame() {
        spectrum.process(frame, power);
        if (frames++ == 0) std::fill(mean.begin(), mean.end(), 0.0F);
        for (std::size_t bin = 0; bin < power.size(); ++bin) mean[bin] += power[bin] / kFramesAColumn;
        in_hop = 0;
    }

    BandLevels levels() {
        bank.process(mean, bands);
        BandLevels levels{};
        for (std::size_t band = 0; band < kSpectrumBands; ++band) {
            const double level_db =
                decibels(static_cast<double>(bands[band]) / spectrum.noise_bandwidth_bins());
            levels[band] =
                static_cast<std::int8_t>(std::lround(std::clamp<double>(level_db, kNoLevel_db, 20.0)));
        }
        return levels;
    }

    // dB re a full-scale sine, mean removed: as the health's seconds.
    double level_db() const {
        const auto count = static_cast<double>(in_second);
        return decibels(2.0 * std::max(0.0, squares / count - sum / count * (sum / count)));
    }
};

LiveSound::LiveSound(LiveFeed& feed) : feed_(feed) {}

LiveSound::~LiveSound() = default;

void LiveSound::on_sound(std::size_t microphone, double rate_hz, double start_s,
                         std::span<const float> samples) {
    if (!feed_.is_listened()) {
        tracks_.clear();
        return;
    }
    if (tracks_.size() <= microphone) tracks_.resize(microphone + 1);
    if (!tracks_[microphone]) tracks_[microphone] = std::make_unique<Track>(rate_hz);
    Track& track = *tracks_[microphone];
    while (!samples.empty()) {
        if (track.in_second == 0) track.second_start_s = start_s;
        if (track.in_hop == 0 && track.frames == 0) track.column_start_s = start_s;
        const std::size_t count = track.until_something(samples.size());
        track.take(samples.first(count));
        samples = samples.subspan(count);
        start_s += static_cast<double>(count) / rate_hz;
        if (track.in_hop == track.hop) track.end_frame();
        if (track.frames == kFramesAColumn) {
            feed_.on_spectrum({microphone, track.column_start_s, track.levels()});
            track.frames = 0;
        }
        if (static_cast<double>(track.in_second) >= kSecond_s * std::floor(rate_hz)) {
            feed_.on_level({microphone, track.second_start_s, start_s, track.level_db()});
            track.in_second = 0;
            track.sum = track.squares = 0.0;
        }
    }
}

void LiveSound::on_loss(std::size_t microphone) {
    if (microphone < tracks_.size() && tracks_[microphone]) tracks_[microphone]->begin();
}

} // namespace quietpass
