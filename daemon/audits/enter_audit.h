// Scoring a hand audit animal by animal: what may be entered when, and by whom. Each step has an id that its
// sender made: sent again it changes nothing, so a sender that heard no answer sends it again.
//
// Within the caller's transaction (Store::change). Errors: AuditRefused; SQLite::Exception. One thread.
#pragma once

#include <SQLiteCpp/Database.h>

#include <cstdint>
#include <stdexcept>
#include <string>

#include "daemon/audits/open_audit.h"
#include "daemon/records/audit_event.h"

namespace quietpass {

enum class AuditRefusal {
    kUnknown,     // no such audit, or no such score in it
    kNotYours,    // another person began it
    kOver,        // it is handed in, or given up
    kNoScores,    // nothing was scored yet
    kIdUsed,      // this id is that of another step
    kBadId,       // not 8 to 64 letters, digits and hyphens
    kNoShift,     // there is no such shift
    kWhichAnimal, // expected a passage with its shift, or a time
};

class AuditRefused : public std::runtime_error {
  public:
    AuditRefused(AuditRefusal why, const std::string& what) : std::runtime_error(what), why_(why) {}
    AuditRefusal why() const { return why_; }

  private:
    AuditRefusal why_;
};

struct EnteredStep {
    AuditEvent event; // as it stands in the store
    bool again = false;
};

// event: id, by, auditor (empty: `by`), note, utc_ns.
EnteredStep start_audit(SQLite::Database& database, AuditEvent event);

// event: all of a score. A passage is not looked for: it may not be over yet.
EnteredStep enter_score(SQLite::Database& database, const AuditEvent& event);

EnteredStep take_back_score(SQLite::Database& database, std::int64_t audit_id, const std::string& score,
                            const std::string& by, std::int64_t utc_ns);

// Hands it in: from now on it is a hand audit as one from a file is. false: it was already.
bool finish_audit(SQLite::Database& database, std::int64_t audit_id, const std::string& by,
                  std::int64_t utc_ns);

// One that goes on is given up; one that was handed in is withdrawn, whoever's it was.
void withdraw_audit(SQLite::Database& database, std::int64_t audit_id, const std::string& by,
                    std::int64_t utc_ns);

} // namespace quietpass
