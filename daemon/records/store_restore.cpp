#include "daemon/records/store_restore.h"

#include <fmt/format.h>

#include <string>

#include "daemon/failure.h"
#include "daemon/ledger/ledger.h"
#include "daemon/ledger/ledger_entries.h"
#include "daemon/ledger/store_check.h"
#include "daemon/records/files.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/store_migration.h"
#include "daemon/records/store_schema.h"

namespace quietpass {
namespace {

constexpr const char* kBeside[] = {"-wal", "-shm"};

[[noreturn]] void refuse(const std::filesystem::path& store, const std::string& what) {
    throw Failure(kExitFailure, store.string() + ": " + what +
                                    "; with --lose-newer it is put aside all the same and the backup takes "
                                    "its place");
}

// Empty: all records of the store are in the backup.
std::string what_would_be_lost(const std::filesystem::path& store, const std::filesystem::path& backup) {
    try {
        const auto now = open_for_reading(store);
        const auto then = open_for_reading(backup);
        if (schema_version_of(*now) != std::to_string(kSchemaVersion) ||
            schema_version_of(*then) != std::to_string(kSchemaVersion))
            return "one of the two has no ledger to compare them by";
        const Ledger::Last last = Ledger(*now).last();
        const Ledger::Last last_backed_up = Ledger(*then).last();
        if (last.seq > last_backed_up.seq)
            return fmt::format("has {} records that the backup lacks", last.seq - last_backed_up.seq);
        LedgerEntries entries(*then, last.seq);
        const bool same = last.seq == 0 || (entries.next() && entries.entry().hash == last.hash);
        return same ? "" : "has another history than the backup";
    } catch (const std::exception& error) {
        std::string what = error.what();
        return "can't be read to compare (" + what.substr(0, what.find('\n')) + ")";
    }
}

std::filesystem::path free_name(const std::filesystem::path& store) {
    for (int number = 1;; ++number) {
        std::filesystem::path name = fmt::format("{}.replaced-{}", store.string(), number);
        if (!std::filesystem::exists(name)) return name;
    }
}

} // namespace

std::filesystem::path put_aside(const std::filesystem::path& file) {
    RealFiles files;
    std::filesystem::path name = free_name(file);
    // Its log first: it holds rows that are not in the file yet.
    for (const char* const beside : kBeside) {
        if (std::filesystem::exists(file.string() + beside))
            files.rename(file.string() + beside, name.string() + beside);
    }
    files.rename(file, name);
    return name;
}

void check_whole_ledger(SQLite::Database& copy) {
    const std::string version = schema_version_of(copy);
    if (can_migrate_from(version)) return;
    if (version != std::to_string(kSchemaVersion))
        throw Failure(kExitFailure, copy.getFilename() + ": is no record store that this program reads");
    const LedgerVerdict verdict = check_store(copy);
    if (verdict.misfit) throw Failure(kExitFailure, copy.getFilename() + ": " + words_of(*verdict.misfit));
}

Restored restore_store(const std::filesystem::path& backup, const std::filesystem::path& store,
                       bool lose_newer, const CopyCheck& check) {
    const std::filesystem::path ready = store.string() + ".restored";
    copy_store(backup, ready, check);
    Restored restored;
    RealFiles files;
    try {
        if (std::filesystem::exists(store)) {
            const std::string lost = what_would_be_lost(store, ready);
            if (!lost.empty() && !lose_newer) refuse(store, lost);
            restored.put_aside = put_aside(store);
        }
        files.rename(ready, store);
        files.sync_folder(store.parent_path().empty() ? "." : store.parent_path());
        return restored;
    } catch (const std::system_error& error) {
        throw Failure(kExitFailure, store.string() + ": the backup is ready as " + ready.string() +
                                        " and can't be put in its place (" + error.what() +
                                        "); check the folder and move it by hand");
    } catch (const Failure&) {
        files.remove(ready);
        throw;
    }
}

} // namespace quietpass
