#include "daemon/bundles/ledger_parts.h"

#include <SQLiteCpp/Statement.h>

#include <algorithm>
#include <sstream>
#include <string>

#include "daemon/ledger/ledger_entries.h"
#include "daemon/ledger/ledger_file.h"
#include "daemon/review/case_state.h"

namespace quietpass {

namespace {

class Concerned {
  public:
    explicit Concerned(SQLite::Database& database) : database_(database) {}

    // Records from the first to the last of what the query gives, with all between them.
    void add_range(const std::string& sql, std::int64_t id) {
        SQLite::Statement query(database_, sql);
        query.bind(1, id);
        if (query.executeStep() && !query.getColumn(0).isNull()) {
            ranges_.push_back({query.getColumn(0).getInt64(), query.getColumn(1).getInt64()});
        }
    }

    // Each record that the query gives.
    void add_each(const std::string& sql, std::int64_t id, std::int64_t second = 0) {
        SQLite::Statement query(database_, sql);
        query.bind(1, id);
        if (second > 0) query.bind(2, second);
        while (query.executeStep()) add(query.getColumn(0).getInt64());
    }

    std::vector<RecordRange> take() { return merged(std::move(ranges_)); }

  private:
    void add(std::int64_t seq) { ranges_.push_back({seq, seq}); }

    SQLite::Database& database_;
    std::vector<RecordRange> ranges_;
};

void add_shift(Concerned& concerned, std::int64_t shift_id) {
    // All that the daemon wrote in the shift lies between its opening and its record.
    concerned.add_range(
        "SELECT min(seq), max(seq) FROM (SELECT seq FROM shifts WHERE shift_id = ?1 UNION ALL SELECT "
        "max(seq) "
        "FROM passages WHERE shift_id = ?1 UNION ALL SELECT max(seq) FROM calls WHERE shift_id = ?1 UNION "
        "ALL "
        "SELECT seq FROM shift_records WHERE shift_id = ?1) WHERE seq IS NOT NULL",
        shift_id);
    concerned.add_each("SELECT seq FROM amendments WHERE shift_id = ?", shift_id);
}

} // namespace

std::vector<RecordRange> records_of(SQLite::Database& database, const CaseFile& file) {
    const CaseState state = state_of(file);
    Concerned concerned(database);
    for (const std::int64_t shift_id : state.shifts) add_shift(concerned, shift_id);
    for (const auto& [shift_id, call_id] : state.calls) {
        concerned.add_each("SELECT seq FROM findings WHERE shift_id = ? AND call_id = ?", shift_id, call_id);
    }
    for (const std::int64_t clip_id : state.clips) {
        concerned.add_each(
            "SELECT seq FROM clips WHERE clip_id = ?1 UNION ALL SELECT seq FROM "
            "clip_deletions WHERE clip_id = ?1",
            clip_id);
    }
    concerned.add_each(
        "SELECT seq FROM cases WHERE case_id = ?1 UNION ALL SELECT seq FROM case_events WHERE "
        "case_id = ?1 UNION ALL SELECT seq FROM clip_holds WHERE case_id = ?1",
        file.id);
    return concerned.take();
}

std::vector<LedgerPart> ledger_parts(SQLite::Database& database, const std::vector<RecordRange>& records) {
    std::vector<LedgerPart> parts;
    for (const RecordRange& range : records) {
        LedgerPart part{range.from_seq, range.to_seq, false};
        const auto head = head_record_covering(database, part.to_seq);
        part.vouched_for = head.has_value();
        // Without a head nothing vouches for it, and to go on to the ledger's end would prove no more.
        part.to_seq = std::max(part.to_seq, head.value_or(part.to_seq));
        if (parts.empty() || part.from_seq > parts.back().to_seq + 1) {
            parts.push_back(part);
        } else if (part.to_seq > parts.back().to_seq) {
            parts.back().to_seq = part.to_seq;
            parts.back().vouched_for = part.vouched_for;
        }
    }
    return parts;
}

std::vector<std::string> last_hashes(SQLite::Database& database, const std::vector<RecordRange>& records) {
    std::vector<std::string> hashes;
    for (const RecordRange& range : records) {
        LedgerEntries entries(database, range.to_seq);
        const bool known = entries.next() && entries.entry().seq == range.to_seq && entries.entry().hash;
        hashes.push_back(known ? hex_of(*entries.entry().hash) : "");
    }
    return hashes;
}

std::vector<NamedBytes> ledger_files(SQLite::Database& database, const std::vector<LedgerPart>& parts) {
    std::vector<NamedBytes> files;
    for (const LedgerPart& part : parts) {
        std::ostringstream out;
        write_ledger_file(database, part.from_seq, part.to_seq, out);
        files.push_back({"ledger/part-" + std::to_string(files.size() + 1) + ".tsv", out.str()});
    }
    return files;
}

} // namespace quietpass
