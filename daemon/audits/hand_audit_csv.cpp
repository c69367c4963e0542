#include "daemon/audits/hand_audit_csv.h"

#include <algorithm>
#include <set>
#include <string>
#include <tuple>

#include "daemon/failure.h"
#include "daemon/records/csv_line.h"
#include "daemon/records/delimited_table.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

bool answer_of(const DelimitedTable& table) {
    const std::string& word = table.cell("vocal");
    if (word == "vocal" || word == "1") return true;
    if (word == "silent" || word == "0") return false;
    table.fail("column vocal: is \"" + word + "\", expected vocal or silent");
}

std::int64_t shift_of(const DelimitedTable& table, const SpanRows& rows) {
    if (table.has("shift")) {
        if (const auto shift_id = table.count("shift")) return *shift_id;
    }
    if (rows.shifts.size() == 1) return rows.shifts.front().shift_id;
    table.fail("the store has " + std::to_string(rows.shifts.size()) +
               " shifts; say which in a column `shift` (see `quietpass passages`)");
}

void place_by_number(const DelimitedTable& table, const SpanRows& rows, HandAuditRow& row) {
    row.shift_id = shift_of(table, rows);
    const bool there = std::any_of(rows.passages.begin(), rows.passages.end(), [&](const SpanPassage& known) {
        return known.shift_id == *row.shift_id && known.passage.id == *row.passage_id;
    });
    if (!there) {
        table.fail("passage " + std::to_string(*row.passage_id) + " is not in shift " +
                   std::to_string(*row.shift_id) + " of the store; check the number");
    }
}

HandAuditRow row_of(const DelimitedTable& table, const SpanRows& rows, const LocalTime& time) {
    HandAuditRow row;
    row.vocal = answer_of(table);
    row.auditor = table.cell_or_empty("auditor");
    row.note = table.cell_or_empty("note");
    if (table.has("passage")) row.passage_id = table.count("passage");
    const std::string moment = table.cell_or_empty("time");
    if (row.passage_id.has_value() == !moment.empty()) {
        table.fail("expected either a passage or a time");
    }
    if (row.passage_id) {
        place_by_number(table, rows, row);
        return row;
    }
    row.at_utc_ns = time.moment(moment);
    if (!row.at_utc_ns) {
        table.fail("column time: is \"" + moment +
                   "\", expected local time as in 2026-03-02 06:10:30, or UTC with a Z at its end");
    }
    return row;
}

} // namespace

std::vector<HandAuditRow> read_hand_audit(const std::filesystem::path& file, const SpanRows& rows,
                                          const LocalTime& time) {
    DelimitedTable table(file, Delimiter::kComma);
    std::vector<HandAuditRow> audit;
    std::set<std::tuple<std::int64_t, std::int64_t, std::string>> seen;
    while (table.next()) {
        const HandAuditRow row = row_of(table, rows, time);
        if (row.passage_id && !seen.insert({*row.shift_id, *row.passage_id, row.auditor}).second) {
            table.fail("passage " + std::to_string(*row.passage_id) +
                       " stands twice; an animal is vocal or silent, once");
        }
        audit.push_back(row);
    }
    if (audit.empty()) throw Failure(kExitUsage, file.string() + ": has no rows; nothing was added");
    return audit;
}

std::string hand_audit_csv(const std::vector<HandAuditRow>& rows) {
    CsvLine line;
    for (const char* column : {"shift", "passage", "time", "vocal", "auditor", "note"}) line.text(column);
    std::string out = line.take();
    const auto whole = [&line](const std::optional<std::int64_t>& value) {
        if (value)
            line.integer(*value);
        else
            line.missing();
    };
    for (const HandAuditRow& row : rows) {
        whole(row.shift_id);
        whole(row.passage_id);
        line.text(row.at_utc_ns ? utc_text(*row.at_utc_ns) : "");
        line.text(row.vocal ? "vocal" : "silent");
        line.text(row.auditor);
        line.text(row.note);
        out += line.take();
    }
    return out;
}

} // namespace quietpass
