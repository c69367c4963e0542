// How many of the last n were hits. Pure; not thread-safe.
#pragma once

#include <cstddef>
#include <deque>

namespace quietpass {

class LastN {
  public:
    explicit LastN(std::size_t n) : n_(n) {}

    void add(bool hit) {
        last_.push_back(hit);
        hits_ += hit ? 1U : 0U;
        if (last_.size() <= n_) return;
        hits_ -= last_.front() ? 1U : 0U;
        last_.pop_front();
    }

    std::size_t hits() const { return hits_; }
    std::size_t seen() const { return last_.size(); } // n at most

  private:
    std::size_t n_;
    std::size_t hits_ = 0;
    std::deque<bool> last_;
};

} // namespace quietpass
