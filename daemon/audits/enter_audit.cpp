#include "daemon/audits/enter_audit.h"

#include <algorithm>

#include "daemon/audits/hand_audit_csv.h"
#include "daemon/records/audit_event_rows.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/sha256.h"

namespace quietpass {

namespace {

bool is_id(const std::string& id) {
    constexpr std::size_t kShortest = 8;
    constexpr std::size_t kLongest = 64;
    return id.size() >= kShortest && id.size() <= kLongest && std::all_of(id.begin(), id.end(), [](char c) {
               return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-';
           });
}

std::string named(std::int64_t audit_id) {
    return "hand audit " + std::to_string(audit_id);
}

// The audit, where this person may go on with it.
OpenAudit to_go_on(SQLite::Database& database, std::int64_t audit_id, const std::string& by) {
    const auto audit = open_audit(read_audit_events(database, audit_id));
    if (!audit) throw AuditRefused(AuditRefusal::kUnknown, "there is no such hand audit to score");
    if (audit->by != by)
        throw AuditRefused(AuditRefusal::kNotYours, named(audit_id) + " was begun by " + audit->by);
    return *audit;
}

void refuse_over(SQLite::Database& database, const OpenAudit& audit) {
    if (audit.given_up) throw AuditRefused(AuditRefusal::kOver, named(audit.id) + " was given up");
    if (is_handed_in(database, audit.id))
        throw AuditRefused(AuditRefusal::kOver, named(audit.id) + " is handed in already");
}

// What stands under this id already; it must be the same step, but for when it came.
std::optional<EnteredStep> sent_before(SQLite::Database& database, AuditEvent event) {
    const auto known = read_audit_event(database, event.id);
    if (!known) return std::nullopt;
    event.utc_ns = known->utc_ns;
    if (event != *known)
        throw AuditRefused(AuditRefusal::kIdUsed, "the id " + event.id + " is that of another step");
    return EnteredStep{*known, true};
}

} // namespace

EnteredStep start_audit(SQLite::Database& database, AuditEvent event) {
    if (!is_id(event.id))
        throw AuditRefused(AuditRefusal::kBadId, "expected 8 to 64 letters, digits, hyphens");
    event.step = AuditStep::kStarted;
    if (event.auditor.empty()) event.auditor = event.by;
    const auto known = read_audit_event(database, event.id);
    event.audit_id = known ? known->audit_id : next_audit_id(database);
    if (auto before = sent_before(database, event)) return *before;
    add_audit_event(database, event);
    return {event, false};
}

EnteredStep enter_score(SQLite::Database& database, const AuditEvent& event) {
    if (!is_id(event.id))
        throw AuditRefused(AuditRefusal::kBadId, "expected 8 to 64 letters, digits, hyphens");
    const bool by_passage = event.passage_id.has_value();
    if (by_passage != event.shift_id.has_value() || by_passage == event.at_utc_ns.has_value())
        throw AuditRefused(AuditRefusal::kWhichAnimal, "expected a passage with its shift, or a time");
    const OpenAudit audit = to_go_on(database, event.audit_id, event.by);
    // Sent again after the audit was handed in, it is known all the same.
    if (auto before = sent_before(database, event)) return *before;
    refuse_over(database, audit);
    if (by_passage && !read_stored_shift(database, *event.shift_id))
        throw AuditRefused(AuditRefusal::kNoShift, "there is no shift " + std::to_string(*event.shift_id));
    add_audit_event(database, event);
    return {event, false};
}

EnteredStep take_back_score(SQLite::Database& database, std::int64_t audit_id, const std::string& score,
                            const std::string& by, std::int64_t utc_ns) {
    const OpenAudit audit = to_go_on(database, audit_id, by);
    const auto scored = read_audit_event(database, score);
    if (!scored || scored->audit_id != audit_id || scored->step != AuditStep::kScored)
        throw AuditRefused(AuditRefusal::kUnknown, "there is no such score in " + named(audit_id));
    AuditEvent event;
    event.id = score + "/taken_back"; // no sender's id has a slash
    event.audit_id = audit_id;
    event.step = AuditStep::kTakenBack;
    event.utc_ns = utc_ns;
    event.by = by;
    event.takes_back = score;
    if (auto before = sent_before(database, event)) return *before;
    refuse_over(database, audit);
    add_audit_event(database, event);
    return {event, false};
}

bool finish_audit(SQLite::Database& database, std::int64_t audit_id, const std::string& by,
                  std::int64_t utc_ns) {
    const OpenAudit audit = to_go_on(database, audit_id, by);
    if (!audit.given_up && is_handed_in(database, audit_id)) return false;
    refuse_over(database, audit);
    if (audit.scores.empty())
        throw AuditRefused(AuditRefusal::kNoScores, "no animal of " + named(audit_id) + " is scored yet");
    HandAudit done;
    done.id = audit_id;
    done.added_utc_ns = utc_ns;
    done.file = "page";
    done.rows = audit.rows();
    done.sha256 = sha256_hex(hand_audit_csv(done.rows));
    add_hand_audit(database, done);
    return true;
}

void withdraw_audit(SQLite::Database& database, std::int64_t audit_id, const std::string& by,
                    std::int64_t utc_ns) {
    if (read_hand_audit(database, audit_id)) {
        HandAudit row;
        row.added_utc_ns = utc_ns;
        row.withdraws = audit_id;
        add_hand_audit(database, row);
        return;
    }
    const auto audit = open_audit(read_audit_events(database, audit_id));
    if (!audit || audit->given_up || is_handed_in(database, audit_id))
        throw AuditRefused(AuditRefusal::kUnknown, "no such hand audit goes on or is in force");
    AuditEvent event;
    event.id = "audit/" + std::to_string(audit_id) + "/given_up";
    event.audit_id = audit_id;
    event.step = AuditStep::kGivenUp;
    event.utc_ns = utc_ns;
    event.by = by;
    add_audit_event(database, event);
}

} // namespace quietpass
