#include "daemon/commands/run_inputs.h"

#include <utility>

#include "daemon/station/live_microphones.h"

namespace quietpass {

namespace {

class ComputersInputs final : public RunInputs {
  public:
    explicit ComputersInputs(double speed) : clock_(speed) {}

    const Clock& clock() const override { return clock_; }
    const Clock& receivers_clock() const override { return real_clock_; }
    Files& files() override { return files_; }

    RunMicrophones open_microphones(const StationSettings& settings) override {
        RunMicrophones opened;
        const auto audio = std::make_shared<PortAudioThread>();
        opened.keeps = audio;
        std::vector<const PortAudioSource*> devices;
        for (auto& source : quietpass::open_microphones(settings, *audio, clock_)) {
            devices.push_back(source.get());
            opened.sources.push_back(std::move(source));
        }
        opened.hang = [devices = std::move(devices)] {
            for (const PortAudioSource* device : devices) {
                if (device->health().hanging) return true;
            }
            return false;
        };
        return opened;
    }

    LiveSources open_contacts(const StationSettings& settings) override {
        return live_sources(settings, clock_);
    }

  private:
    ScaledClock clock_;
    RealClock real_clock_;
    RealFiles files_;
};

} // namespace

std::vector<double> RunMicrophones::rates_hz() const {
    std::vector<double> rates_hz;
    for (const auto& source : sources) {
        rates_hz.insert(rates_hz.end(), static_cast<std::size_t>(source->channels()),
                        source->sample_rate_hz());
    }
    return rates_hz;
}

std::unique_ptr<RunInputs> computers_inputs(double speed) {
    return std::make_unique<ComputersInputs>(speed);
}

} // namespace quietpass
