// GPIO lines of a script: what a chip would show, without one. The test drives it from its own thread while a
// source uses it.
#pragma once

#include <chrono>
#include <condition_variable>
#include <map>
#include <mutex>
#include <string>
#include <vector>

#include "daemon/contacts/gpio/gpio_lines.h"

namespace quietpass {

// The chip, which outlives its users.
class ScriptedChip {
  public:
    struct Change {
        int line = 0;
        bool high = false;
        std::int64_t age_ns = 0;
    };

    // Lines change, one after the other; of those that were `dropped` the chip keeps no edge.
    void set(const std::vector<Change>& changes, const std::vector<Change>& dropped = {}) {
        const std::lock_guard lock(mutex_);
        for (const Change& change : changes) levels_[change.line] = change.high;
        for (const Change& change : dropped) levels_[change.line] = change.high;
        edges_.insert(edges_.end(), changes.begin(), changes.end());
        changed_.notify_all();
    }
    void set(int line, bool high) { set({{line, high, 0}}); }
    // Everything fails until the chip is there again.
    void unplug(bool on) {
        const std::lock_guard lock(mutex_);
        unplugged_ = on;
        changed_.notify_all();
    }
    std::vector<GpioAddress> taken() const {
        const std::lock_guard lock(mutex_);
        return taken_;
    }

  private:
    friend class ScriptedGpioLines;

    mutable std::mutex mutex_;
    std::condition_variable changed_;
    std::map<int, bool> levels_;
    std::vector<Change> edges_;
    std::vector<GpioAddress> taken_;
    bool unplugged_ = false;
};

class ScriptedGpioLines final : public GpioLines {
  public:
    explicit ScriptedGpioLines(ScriptedChip& chip) : chip_(chip) {}

    bool open(const std::vector<GpioAddress>& lines) override {
        const std::lock_guard lock(chip_.mutex_);
        chip_.taken_ = lines;
        chip_.edges_.clear();
        return !chip_.unplugged_;
    }
    void close() override {
        const std::lock_guard lock(chip_.mutex_);
        chip_.taken_.clear();
    }
    std::optional<std::vector<bool>> levels() override {
        const std::lock_guard lock(chip_.mutex_);
        if (chip_.unplugged_) return std::nullopt;
        std::vector<bool> levels;
        for (const GpioAddress& line : chip_.taken_) levels.push_back(chip_.levels_[line.line]);
        return levels;
    }
    std::optional<std::vector<GpioEdge>> edges(double at_most_s) override {
        std::unique_lock lock(chip_.mutex_);
        chip_.changed_.wait_for(lock, std::chrono::duration<double>(at_most_s),
                                [this] { return chip_.unplugged_ || !chip_.edges_.empty(); });
        if (chip_.unplugged_) return std::nullopt;
        std::vector<GpioEdge> edges;
        for (const ScriptedChip::Change& kept : chip_.edges_) {
            for (std::size_t i = 0; i < chip_.taken_.size(); ++i) {
                if (chip_.taken_[i].line == kept.line) edges.push_back({i, kept.high, kept.age_ns});
            }
        }
        chip_.edges_.clear();
        return edges;
    }
    const std::string& why() const override { return why_; }

  private:
    ScriptedChip& chip_;
    std::string why_ = "the script unplugged it";
};

} // namespace quietpass
