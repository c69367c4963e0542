#include "daemon/records/store_schema.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>

#include "daemon/failure.h"
#include "daemon/ledger/evidence_tables.h"
#include "daemon/records/store_migration.h"
#include "daemon/records/store_tables.h"

namespace quietpass {
namespace {

const std::string kThisVersion = std::to_string(kSchemaVersion);

bool is_empty(SQLite::Database& database) {
    return database.execAndGet("SELECT count(*) FROM sqlite_schema").getInt() == 0;
}

bool is_whole(SQLite::Database& database, const std::string& version) {
    return version == kThisVersion && database.tableExists("hand_audit_events");
}

void make(SQLite::Database& database) {
    database.exec("CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID");
    database.exec(kTables);
    database.exec(kAddedTables);
    make_append_only(database);
    SQLite::Statement version(database, "INSERT INTO meta (key, value) VALUES ('schema_version', ?)");
    version.bind(1, kThisVersion);
    version.exec();
}

} // namespace

std::string schema_version_of(SQLite::Database& database) {
    if (!database.tableExists("meta")) return {};
    SQLite::Statement query(database, "SELECT value FROM meta WHERE key = 'schema_version'");
    return query.executeStep() ? query.getColumn(0).getString() : "none";
}

void prepare_schema(SQLite::Database& database) {
    // IMMEDIATE before looking: two programs that start together must not both make the tables. A read-only
    // look comes first, so that a reader of a finished store asks for no lock.
    if (is_whole(database, schema_version_of(database))) return;
    SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
    const std::string found = schema_version_of(database);
    if (is_whole(database, found)) return;
    if (found == kThisVersion) {
        database.exec(kAddedTables);
        make_append_only(database, "hand_audit_events");
    } else if (can_migrate_from(found)) {
        migrate(database, found);
    } else if (!found.empty()) {
        throw Failure(kExitFailure, "record store " + database.getFilename() + ": its schema version is " +
                                        found + ", this program reads " + kThisVersion +
                                        "; use the program that made it or another file");
    } else if (!is_empty(database)) {
        throw Failure(kExitFailure, "record store " + database.getFilename() +
                                        ": is a database of something else; give another file");
    } else {
        make(database);
    }
    transaction.commit();
}

} // namespace quietpass
