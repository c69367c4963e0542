// What a person does to a case: gather, drop, hold, note, decide, close. Each step is one transaction that
// looks at the case first, so two people at once can't do what only one may.
//
// Errors: CaseRefusal, in one line that names the case; Failure of the search (exit 2); StoreError. One
// thread.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "daemon/failure.h"
#include "daemon/records/case_file.h"
#include "daemon/records/store.h"
#include "daemon/review/case_search.h"

namespace quietpass {

class CaseRefusal : public Failure {
  public:
    enum class Why { kNoSuchCase, kWrongState, kNoSuchThing };
    CaseRefusal(Why why, const std::string& line) : Failure(kExitUsage, line), why_(why) {}
    Why why() const { return why_; }

  private:
    Why why_;
};

// Who does it, and when.
struct CaseHand {
    std::string by;
    std::int64_t utc_ns = 0;
};

std::int64_t open_case(Store& store, CaseFile opened, const CaseHand& hand); // gives its number

struct Gathered {
    std::size_t passages = 0;
    std::size_t calls = 0;
    std::size_t clips = 0;
};
// Adds what was found and not in it yet, and holds the clips: a clip of a case must not be gone when somebody
// comes to it. Of a wish without a span, the case's own.
Gathered gather_into_case(Store& store, std::int64_t case_id, CaseWish wish, const CaseHand& hand);

struct CaseItems {
    std::int64_t shift_id = 0; // of passages and calls
    std::vector<std::int64_t> passages;
    std::vector<std::int64_t> calls;
    std::vector<std::int64_t> clips;
};
// Gives how many.
std::size_t drop_from_case(Store& store, std::int64_t case_id, const CaseItems& items, const std::string& why,
                           const CaseHand& hand);

// Holds clips for it, or lets them go; none named: all of the case, or all that it holds. Gives how many
// changed.
std::size_t hold_for_case(Store& store, std::int64_t case_id, std::vector<std::int64_t> clips, bool held,
                          const CaseHand& hand);

// event: note, decision, closed or reopened. Gives how many clips the case holds.
std::size_t add_case_step(Store& store, std::int64_t case_id, const std::string& event,
                          const std::string& text, const CaseHand& hand);

} // namespace quietpass
