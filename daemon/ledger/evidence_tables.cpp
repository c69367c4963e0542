#include "daemon/ledger/evidence_tables.h"

#include <string>

namespace quietpass {
namespace {

void forbid(SQLite::Database& database, const std::string& table, const std::string& verb) {
    database.exec("CREATE TRIGGER " + table + "_no_" + verb + " BEFORE " + verb + " ON " + table +
                  " BEGIN SELECT RAISE(ABORT, '" + table + " is evidence: rows are only added'); END");
}

} // namespace

void make_append_only(SQLite::Database& database, const std::string& table) {
    forbid(database, table, "update");
    forbid(database, table, "delete");
}

void make_append_only(SQLite::Database& database) {
    for (const std::string_view table : kEvidenceTables) make_append_only(database, std::string(table));
    make_append_only(database, "ledger");
}

} // namespace quietpass
