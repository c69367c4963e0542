#include "daemon/records/access_rows.h"

#include <SQLiteCpp/Statement.h>

#include "daemon/ledger/ledger.h"

namespace quietpass {

std::int64_t add_access(SQLite::Database& database, const Access& access) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(
        database, "INSERT INTO accesses (seq, utc_ns, who, what, subject, detail) VALUES (?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, access.utc_ns);
    insert.bind(3, access.who);
    insert.bind(4, access.what);
    insert.bind(5, access.subject);
    insert.bind(6, access.detail);
    insert.exec();
    ledger.record("accesses", seq);
    return seq;
}

} // namespace quietpass
