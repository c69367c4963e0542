#include "daemon/records/read_only_store.h"

#include <SQLiteCpp/Exception.h>
#include <sqlite3.h>

#include <algorithm>
#include <string>

#include "daemon/failure.h"
#include "daemon/records/store_schema.h"

namespace quietpass {
namespace {

constexpr int kBusy_ms = 5000;

// A path as an URI's: what has a meaning there is written as its number.
std::string uri_of(const std::filesystem::path& file) {
    constexpr const char* kDigits = "0123456789ABCDEF";
    std::string uri = "file:";
    for (const char letter : std::filesystem::absolute(file).string()) {
        const auto byte = static_cast<unsigned char>(letter);
        if (letter == '%' || letter == '?' || letter == '#') {
            uri += '%';
            uri += kDigits[byte >> 4];
            uri += kDigits[byte & 15];
        } else {
            uri += letter;
        }
    }
    return uri + "?immutable=1";
}

void look_into(SQLite::Database& database) {
    database.execAndGet("SELECT count(*) FROM sqlite_schema");
}

std::unique_ptr<SQLite::Database> opened(const std::filesystem::path& file) {
    try {
        auto database = std::make_unique<SQLite::Database>(file.string(), SQLite::OPEN_READONLY, kBusy_ms);
        look_into(*database);
        return database;
    } catch (const SQLite::Exception& error) {
        // A write-ahead log wants a file beside it. Where that can't be made nobody writes the store either.
        const int code = error.getErrorCode() & 0xff;
        if (code != SQLITE_CANTOPEN && code != SQLITE_READONLY) throw;
        auto database =
            std::make_unique<SQLite::Database>(uri_of(file), SQLite::OPEN_READONLY | SQLite::OPEN_URI);
        look_into(*database);
        return database;
    }
}

} // namespace

std::unique_ptr<SQLite::Database> open_for_reading(const std::filesystem::path& file) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(file, ignored)) {
        throw Failure(kExitUsage, file.string() +
                                      ": no record store is there; give the folder that `quietpass run` "
                                      "writes to, or a store's file");
    }
    try {
        return opened(file);
    } catch (const std::exception& error) {
        std::string what = error.what();
        std::replace(what.begin(), what.end(), '\n', ' ');
        throw Failure(kExitFailure, "record store " + file.string() + ": can't be read (" + what +
                                        "); check the file, or restore a backup");
    }
}

void check_version(SQLite::Database& database, const std::filesystem::path& file) {
    const std::string version = schema_version_of(database);
    if (version == std::to_string(kSchemaVersion)) return;
    throw Failure(kExitFailure, "record store " + file.string() +
                                    ": has no ledger that this program reads "
                                    "(schema version " +
                                    (version.empty() ? "none" : version) +
                                    "); `quietpass run` and the commands that read it move an older store "
                                    "that can be written to this version");
}

} // namespace quietpass
