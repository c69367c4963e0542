#include "tests/bench/cost_table.h"

#include <benchmark/benchmark.h>
#include <kissfft/kiss_fftr.h>

#include <algorithm>
#include <cstdio>
#include <ctime>
#include <stdexcept>

#include "dsp/window.h"

namespace quietpass::bench {

namespace {

constexpr int kTurns = 7;
constexpr double kUntimed = 1e9;

} // namespace

Stage yardstick(const std::vector<float>& audio) {
    auto* plan = kiss_fftr_alloc(1024, 0, nullptr, nullptr);
    return [plan, &audio, window = dsp::hann_periodic(1024), in = std::vector<float>(1024),
            out = std::vector<kiss_fft_cpx>(513), power = std::vector<float>(513)]() mutable {
        for (std::size_t start = 0; start + 1024 <= audio.size(); start += 512) {
            for (std::size_t n = 0; n < 1024; ++n) in[n] = audio[start + n] * window[n];
            kiss_fftr(plan, in.data(), out.data());
            for (std::size_t k = 0; k < 513; ++k) power[k] = out[k].r * out[k].r + out[k].i * out[k].i;
            benchmark::DoNotOptimize(power.data());
        }
    };
}

CostTable::CostTable(const std::vector<float>& yardstick_audio) {
    add("yardstick: KissFFT 1024/512", static_cast<double>(yardstick_audio.size()) / kRate_hz,
        yardstick(yardstick_audio));
}

void CostTable::add(const std::string& name, double audio_s, Stage stage) {
    entries_.push_back({name, audio_s, std::move(stage), kUntimed});
}

bool CostTable::run(int argc, char** argv) {
    for (Entry& entry : entries_) {
        benchmark::RegisterBenchmark(
            entry.name.c_str(),
            [&entry](benchmark::State& state) {
                const std::clock_t before = std::clock();
                for (auto _ : state) entry.stage();
                const double cpu_s = static_cast<double>(std::clock() - before) / CLOCKS_PER_SEC;
                const double cost = cpu_s / static_cast<double>(state.iterations()) / entry.audio_s;
                entry.cost = std::min(entry.cost, cost);
                state.counters["realtime"] = 1.0 / cost;
            })
            ->Unit(benchmark::kMillisecond)
            ->MinTime(0.1)
            ->Repetitions(kTurns)
            ->ReportAggregatesOnly();
    }
    char take_turns[] = "--benchmark_enable_random_interleaving=true";
    std::vector<char*> arguments(argv, argv + argc);
    arguments.push_back(take_turns);
    int count = static_cast<int>(arguments.size());
    arguments.push_back(nullptr);
    benchmark::Initialize(&count, arguments.data());
    benchmark::RunSpecifiedBenchmarks();
    return std::ranges::all_of(entries_, [](const Entry& entry) { return entry.cost < kUntimed; });
}

double CostTable::cost(const std::string& name) const {
    const auto entry = std::ranges::find(entries_, name, &Entry::name);
    if (entry == entries_.end()) throw std::out_of_range("no such stage: " + name);
    return entry->cost;
}

void CostTable::print_heading(const std::string& title) const {
    std::printf("\n%-40s %8s %12s\n", title.c_str(), "ratio", "us/audio s");
    print_cost(entries_.front().name, yardstick_cost());
}

void CostTable::print_cost(const std::string& name, double cost) const {
    std::printf("%-40s %8.3f %12.1f\n", name.c_str(), cost / yardstick_cost(), 1e6 * cost);
}

} // namespace quietpass::bench
