#include "daemon/records/document_rows.h"

#include <SQLiteCpp/Statement.h>

#include "daemon/ledger/ledger.h"
#include "daemon/records/sha256.h"

namespace quietpass {

void add_document(SQLite::Database& database, const Document& document, std::int64_t utc_ns) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO documents (seq, sha256, kind, name, utc_ns, text) "
                             "VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT (sha256, kind) DO NOTHING");
    insert.bind(1, seq);
    insert.bind(2, sha256_hex(document.text));
    insert.bind(3, document.kind);
    insert.bind(4, document.name);
    insert.bind(5, utc_ns);
    insert.bind(6, document.text);
    if (insert.exec() > 0) ledger.record("documents", seq);
}

void add_calibration_line(SQLite::Database& database, const CalibrationLine& calibration) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO calibrations (seq, calibrated_at, station, microphone, line) "
                             "VALUES (?, ?, ?, ?, ?) ON CONFLICT (line) DO NOTHING");
    insert.bind(1, seq);
    insert.bind(2, calibration.calibrated_at);
    insert.bind(3, calibration.station);
    insert.bind(4, calibration.microphone);
    insert.bind(5, calibration.line);
    if (insert.exec() > 0) ledger.record("calibrations", seq);
}

} // namespace quietpass
