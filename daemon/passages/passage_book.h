// The animals in order of entry: numbers them, hands out the passages that can't change any more, and
// remembers the handed-out ones until told to forget. Times are station seconds. References stay valid while
// an animal is open.
//
// A candidate (see animal.h) holds back the numbers of all that entered after it, so that ids follow the
// order of entry whether or not it turns out to be an animal.
#pragma once

#include <cstddef>
#include <cstdint>
#include <list>

#include "daemon/passages/animal.h"

namespace quietpass {

class PassageBook {
  public:
    Animal& open_passage(double entered_s) { return insert(entered_s, false); }
    Animal& open_candidate(double first_edge_s) { return insert(first_edge_s, true); }
    // It was an animal. entered_s may differ from its first edge, but must not change its place among the
    // others.
    void promote(Animal& candidate, double entered_s);
    void drop(Animal& candidate);

    bool take_closed(Passage& out);
    void forget_before(double time_s);

    double earliest_candidate_s() const; // +infinity where there is none
    std::size_t size() const { return taken_.size() + waiting_.size(); }

    // Calls visit(const Animal&) for every numbered passage that contains the moment: entered_s ≤ time_s <
    // end_s.
    template <typename Visit>
    void visit_at(double time_s, Visit visit) const {
        for (const std::list<Animal>* animals : {&taken_, &waiting_}) {
            for (const Animal& animal : *animals) {
                if (animal.passage.id == 0 || time_s < animal.passage.entered_s) continue;
                if (animal.open || time_s < animal.passage.end_s) visit(animal);
            }
        }
    }
    // Calls visit(Animal&) for every open passage.
    template <typename Visit>
    void visit_open(Visit visit) {
        for (Animal& animal : waiting_) {
            if (animal.open && !animal.candidate) visit(animal);
        }
    }

  private:
    Animal& insert(double entered_s, bool candidate);
    void number();

    std::list<Animal> taken_;
    std::list<Animal> waiting_;
    std::int64_t last_id_ = 0;
};

} // namespace quietpass
