// Stages of work over the same audio, timed with Google Benchmark and told as multiples of the yardstick: a
// bare KissFFT real transform of 1024 samples every 512, with window and power, over that audio at 48 kHz.
//
// Ratios are CPU time within one run; absolute times differ between machines and hours. All stages take turns
// several times and the fastest turn of each counts, so that a busy machine harms ratios little. Units: CPU
// seconds an audio second. Single-threaded.
#pragma once

#include <functional>
#include <string>
#include <utility>
#include <vector>

namespace quietpass::bench {

inline constexpr double kRate_hz = 48000.0;

using Stage = std::function<void()>; // does its work over the whole audio once

// The yardstick over this audio; `audio` must outlive the stage.
Stage yardstick(const std::vector<float>& audio);

class CostTable {
  public:
    explicit CostTable(const std::vector<float>& yardstick_audio);

    void add(const std::string& name, double audio_s, Stage stage);

    // Runs them all; false when Google Benchmark was asked for something else (a list, a filter).
    bool run(int argc, char** argv);

    double yardstick_cost() const { return entries_.front().cost; }
    double cost(const std::string& name) const;
    void print_heading(const std::string& title) const;
    void print_cost(const std::string& name, double cost) const;
    void print(const std::string& name) const { print_cost(name, cost(name)); }

  private:
    struct Entry {
        std::string name;
        double audio_s;
        Stage stage;
        double cost;
    };
    std::vector<Entry> entries_; // the first is the yardstick
};

} // namespace quietpass::bench
