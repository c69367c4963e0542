// Sound that is lost in small pieces: whether there were three gaps of a microphone or more within ten
// minutes, of so many seconds together. Station seconds. Pure; not thread-safe.
#pragma once

#include <deque>
#include <utility>

namespace quietpass {

class LostSound {
  public:
    static constexpr double kWithin_s = 600.0;
    static constexpr std::size_t kGaps = 3;

    explicit LostSound(double limit_s) : limit_s_(limit_s) {}

    void add(double start_s, double end_s) { gaps_.emplace_back(start_s, end_s); }

    bool too_much(double now_s) {
        while (!gaps_.empty() && gaps_.front().second < now_s - kWithin_s) gaps_.pop_front();
        double lost_s = 0.0;
        for (const auto& [start_s, end_s] : gaps_) lost_s += end_s - start_s;
        return gaps_.size() >= kGaps && lost_s > limit_s_;
    }

  private:
    double limit_s_;
    std::deque<std::pair<double, double>> gaps_;
};

} // namespace quietpass
