#include "daemon/commands/backup_company.h"

#include <SQLiteCpp/Statement.h>
#include <fmt/format.h>

#include <system_error>

#include "daemon/clock.h"
#include "daemon/failure.h"
#include "daemon/records/access_rows.h"
#include "daemon/records/files.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/store.h"
#include "daemon/records/store_restore.h"
#include "daemon/settings/key_file.h"

namespace quietpass {

namespace {

using std::filesystem::path;

constexpr const char* kUsers = "users.db";
constexpr const char* kCalibrations = "calibrations.csv";

path beside(const path& backup, const char* name) {
    return backup.string() + "." + name;
}

bool there(const path& file) {
    std::error_code ignored;
    return std::filesystem::is_regular_file(file, ignored);
}

void copy_text(const path& from, const path& to) {
    try {
        RealFiles files;
        files.write(to, files.read(from).value_or(""));
        files.sync(to);
    } catch (const std::system_error& error) {
        throw Failure(kExitFailure, to.string() + ": can't be written (" + error.code().message() +
                                        "); check its folder and the space on the disk");
    }
}

void restore_accounts(const path& from, const path& out, std::vector<std::string>& lines) {
    if (there(out / kUsers)) {
        lines.push_back(
            fmt::format("The accounts that were there are {}.", put_aside(out / kUsers).string()));
    }
    copy_store(from, out / kUsers);
    Store store(out / "records.db");
    store.change([&](SQLite::Database& database) {
        add_access(database, {RealClock().utc_ns(), "", "users", "all", "accounts restored from a backup"});
    });
    lines.push_back("The page's accounts are restored.");
}

} // namespace

std::vector<std::string> back_up_company(const path& out, const path& backup) {
    std::vector<std::string> lines;
    if (there(out / kUsers)) {
        copy_store(out / kUsers, beside(backup, kUsers));
        lines.push_back(fmt::format("{}: the page's accounts (hashes of passwords: keep it from others).",
                                    beside(backup, kUsers).string()));
    }
    if (there(out / kCalibrations)) {
        copy_text(out / kCalibrations, beside(backup, kCalibrations));
        lines.push_back(fmt::format("{}: the calibrations.", beside(backup, kCalibrations).string()));
    }
    return lines;
}

void remove_company(const path& backup) {
    std::error_code ignored;
    for (const char* const name : {kUsers, kCalibrations})
        std::filesystem::remove(beside(backup, name), ignored);
}

std::vector<std::string> restore_company(const path& backup, const path& out, bool accounts) {
    std::vector<std::string> lines;
    if (there(beside(backup, kUsers))) {
        if (!there(out / kUsers) || accounts) {
            restore_accounts(beside(backup, kUsers), out, lines);
        } else {
            lines.push_back("The accounts that are there stay; --accounts takes the backup's.");
        }
    }
    if (there(beside(backup, kCalibrations)) && !there(out / kCalibrations)) {
        copy_text(beside(backup, kCalibrations), out / kCalibrations);
        lines.push_back("The calibrations are restored.");
    }
    return lines;
}

std::vector<std::string> still_needed(const path& out) {
    const auto database = open_for_reading(out / "records.db");
    if (!database->tableExists("keys") || !database->tableExists("documents")) return {};
    if (database->execAndGet("SELECT count(*) FROM keys").getInt() == 0) return {};
    SQLite::Statement query(
        *database, "SELECT text FROM documents WHERE kind = 'station_file' ORDER BY seq DESC LIMIT 1");
    const std::string recorded = query.executeStep() ? key_file_in(query.getColumn(0).getString()) : "";
    if (!recorded.empty()) {
        return {fmt::format("The station's key is wanted where the station file has it: key_file = \"{}\".",
                            recorded)};
    }
    const path key = out / "key" / "station.key";
    if (there(key)) return {};
    return {
        fmt::format("The station's key is not at {}: put its copy there, or, when it is gone, "
                    "`quietpass key rotate --lost`.",
                    key.string())};
}

} // namespace quietpass
