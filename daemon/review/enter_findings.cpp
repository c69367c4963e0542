#include "daemon/review/enter_findings.h"

#include "daemon/failure.h"
#include "daemon/records/access_rows.h"
#include "daemon/records/finding_rows.h"
#include "daemon/review/amendment_json.h"
#include "daemon/review/findings_in_force.h"

namespace quietpass {

namespace {

[[noreturn]] void fail_entry(const std::string& what) {
    throw Failure(kExitUsage, "finding: " + what);
}

ShiftRows shift_found(const Store& store, std::int64_t shift_id) {
    std::optional<ShiftRows> rows = store.read_shift(shift_id);
    if (!rows) fail_entry("no shift " + std::to_string(shift_id) + " is in " + store.file().string());
    return std::move(*rows);
}

bool closed(const ShiftRows& rows) {
    return !rows.shift.record_json.empty();
}

std::int64_t amend(SQLite::Database& database, const ShiftRows& rows, const std::string& by,
                   std::int64_t utc_ns) {
    Amendment amendment;
    amendment.shift_id = rows.shift.shift_id;
    amendment.number = next_amendment(database, amendment.shift_id);
    amendment.utc_ns = utc_ns;
    amendment.by = by;
    amendment.record_json = amendment_json(rows, read_findings(database, amendment.shift_id), amendment);
    add_amendment(database, amendment);
    return amendment.number;
}

// Who judged what stands among the accesses too, beside who heard it.
void note_access(SQLite::Database& database, const Finding& finding, std::int64_t id) {
    std::string detail = "shift " + std::to_string(finding.shift_id) + ", call " +
                         std::to_string(finding.call_id) + ": " + std::string(name_of(finding.verdict));
    if (finding.withdraws) detail += "; finding " + std::to_string(*finding.withdraws) + " is taken back";
    add_access(database, {finding.utc_ns, finding.by, finding.withdraws ? "withdraw" : "enter",
                          "finding " + std::to_string(id), detail});
}

} // namespace

EnteredFindings enter_findings(Store& store, const std::vector<Finding>& findings) {
    EnteredFindings entered;
    if (findings.empty()) return entered;
    const Finding& first = findings.front();
    for (bool done = false; !done;) {
        // A closed shift's passages and calls never change, so they may be read ahead of the transaction.
        // Where it was closed between the two, once more.
        const ShiftRows rows = shift_found(store, first.shift_id);
        store.change([&](SQLite::Database& database) {
            entered = {};
            if (is_closed(database, first.shift_id) != closed(rows)) return;
            for (const Finding& finding : findings) {
                if (!has_call(database, finding.shift_id, finding.call_id)) {
                    fail_entry("shift " + std::to_string(finding.shift_id) + " has no call " +
                               std::to_string(finding.call_id) +
                               "; calls.csv and `quietpass clips` have them");
                }
                entered.ids.push_back(add_finding(database, finding));
                note_access(database, finding, entered.ids.back());
            }
            if (closed(rows)) entered.amendment = amend(database, rows, first.by, first.utc_ns);
            done = true;
        });
    }
    return entered;
}

EnteredFindings withdraw_finding(Store& store, std::int64_t finding_id, const std::string& by,
                                 std::int64_t utc_ns) {
    std::vector<Finding> in_force;
    store.read([&](SQLite::Database& database) { in_force = findings_in_force(read_findings(database)); });
    for (const Finding& finding : in_force) {
        if (finding.id != finding_id) continue;
        Finding row = finding;
        row.id = 0;
        row.by = by;
        row.utc_ns = utc_ns;
        row.note.clear();
        row.withdraws = finding_id;
        return enter_findings(store, {row});
    }
    fail_entry(std::to_string(finding_id) + ": no such finding is in force; see `quietpass finding list`");
}

std::int64_t amend_shift(Store& store, std::int64_t shift_id, const std::string& by, std::int64_t utc_ns) {
    const ShiftRows rows = shift_found(store, shift_id);
    if (!closed(rows)) {
        fail_entry("shift " + std::to_string(shift_id) + " is still open; it is amended once it is closed");
    }
    std::int64_t number = 0;
    store.change([&](SQLite::Database& database) {
        if (read_findings(database, shift_id).empty()) {
            fail_entry("shift " + std::to_string(shift_id) + " has no finding to amend it by");
        }
        number = amend(database, rows, by, utc_ns);
    });
    return number;
}

} // namespace quietpass
