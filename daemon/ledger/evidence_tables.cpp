#include "daemon/ledger/evidence_tables.h"

#include <string>

namespace quietpass {
namespace {

void forbid(SQLite::Database& database, const std::string& table, const std::string& verb) {
    database.exec("CREATE TRIGGER " + table + "_no_" + verb + " BEFORE " + verb + " ON " + table +
                  " BEGIN SELECT RAISE(ABORT, '" + table + " is evidence: rows are only added'); END");
}

} // namespace

void make_append_only(SQLite::Database& database) {
    const auto forbid_both = [&database](const std::string& table) {
        forbid(database, table, "update");
        forbid(database, table, "delete");
    };
    for (const std::string_view table : kEvidenceTables) forbid_both(std::string(table));
    forbid_both("ledger");
}

} // namespace quietpass
