// How many animals the edges of a conveyor tell of, looking back: entries, stuns and releases, each in order
// of time, are read as animals first in, first out, and of all readings the likeliest is taken. What was said
// at the moment of an edge may turn out otherwise; the count need not suffer by it.
//
// A reading pays (in natural logarithms of odds) for each edge of an animal that is missing, each edge that
// is a second one of the same animal, how far a travel time is from the expected, two animals closer to each
// other than animals are, and a second edge farther from its first. Found by going through the readings of
// the edges not yet settled (dynamic programming); edges settle when all that may belong to them has come.
//
// Running seconds (line_stops.h). Pure; not thread-safe.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <limits>
#include <vector>

#include "daemon/passages/found_travel.h"

namespace quietpass {

class HeadCount {
  public:
    enum Mark { kEntry, kStun, kRelease, kMarks };
    static constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();
    using Tag = std::int64_t; // the caller's word for an edge; 0: none

    // Where to begin: the travel times are found anew from the edges themselves.
    struct Knowledge {
        Travel to_stun;          // from the entry
        Travel to_release;       // from the stun; where stuns are not wired, from the entry
        double gap_s = kUnknown; // from one animal to the next, usually
    };
    // One animal, or the second edges of one.
    struct Found {
        bool animal = false;
        std::array<Tag, kMarks> tags{};
    };

    HeadCount(bool stuns_wired, bool releases_wired) : wired_{true, stuns_wired, releases_wired} {}

    // In order of time.
    void add(Mark mark, double running_s, Tag tag);

    // What has settled by now, in line; with `all`, whatever is left, as if nothing followed.
    std::vector<Found> settle(double running_s, Knowledge knowledge, bool all);

    bool empty() const { return edges_[kEntry].empty() && edges_[kStun].empty() && edges_[kRelease].empty(); }

  private:
    struct Seen {
        double running_s;
        Tag tag;
    };
    using Place = std::array<std::size_t, kMarks>; // so many edges of each are read

    std::vector<unsigned> likeliest_steps(double running_s, const Knowledge& knowledge) const;
    double cost_of(unsigned step, const Place& place, double running_s, const Knowledge& knowledge) const;
    double animal_cost(unsigned step, const Place& place, double running_s, const Knowledge& knowledge) const;
    double since_previous_s(Mark mark, std::size_t index) const;
    // When the animal of the step's edges went in, as far as its first edge tells.
    double entry_of(unsigned step, const Place& place, const Knowledge& knowledge) const;
    void find_travel(const Knowledge& begin_at);
    bool travel_known() const;
    double through_s() const; // at most, from entry to release
    bool time_to_read(double running_s, const Knowledge& knowledge) const;
    void judge_incomplete(unsigned step);

    std::array<bool, kMarks> wired_;
    std::array<std::deque<Seen>, kMarks> edges_;                         // not settled
    std::array<double, kMarks> settled_s_ = {-kFar_s, -kFar_s, -kFar_s}; // the last settled edge of each

    std::array<std::deque<double>, kMarks> last_s_; // running seconds, settled or not
    bool forgotten_ = false;                        // there were some before
    Travel to_stun_, to_release_;
    int incomplete_ = 0; // of the last animals, more or less
    static constexpr double kFar_s = 1e9;
};

} // namespace quietpass
