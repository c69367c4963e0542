#include "daemon/records/store_copy.h"

#include <SQLiteCpp/Backup.h>
#include <SQLiteCpp/Statement.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <stdexcept>

#include "daemon/failure.h"
#include "daemon/records/files.h"

namespace quietpass {
namespace {

constexpr int kBusy_ms = 30'000;

void remove_all_of(const std::filesystem::path& file) {
    for (const char* ending : {"", "-wal", "-shm", "-journal"}) {
        std::error_code ignored;
        std::filesystem::remove(file.string() + ending, ignored);
    }
}

// Nothing of a copy under way stays behind unless it was renamed.
struct Aside {
    explicit Aside(std::filesystem::path file) : path(std::move(file)) { remove_all_of(path); }
    ~Aside() { remove_all_of(path); }
    Aside(const Aside&) = delete;
    Aside& operator=(const Aside&) = delete;
    std::filesystem::path path;
};

// SQLite would make it for everybody to read.
void make_as_private_as(const std::filesystem::path& file, const std::filesystem::path& from) {
    struct stat original {};
    const mode_t mode = stat(from.c_str(), &original) == 0 ? original.st_mode & 0666U : 0600U;
    const int made = open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, mode);
    if (made >= 0) close(made);
}

void copy_into(const std::filesystem::path& file, const std::filesystem::path& from, const CopyCheck& check) {
    make_as_private_as(file, from);
    SQLite::Database copy(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    {
        SQLite::Database source(from.string(), SQLite::OPEN_READONLY, kBusy_ms);
        SQLite::Backup(copy, source).executeStep(-1);
    }
    copy.exec("PRAGMA journal_mode = DELETE"); // one file, readable where nothing can be written
    const std::string errors = integrity_errors_of(copy);
    if (!errors.empty()) throw std::runtime_error("the copy is damaged: " + errors);
    if (check) check(copy);
}

} // namespace

std::string integrity_errors_of(SQLite::Database& database) {
    std::string errors;
    SQLite::Statement check(database, "PRAGMA integrity_check");
    while (check.executeStep()) {
        const std::string line = check.getColumn(0).getString();
        if (line != "ok") errors += line + '\n';
    }
    return errors;
}

void copy_store(const std::filesystem::path& from, const std::filesystem::path& to, const CopyCheck& check) {
    const Aside aside(to.string() + ".part");
    try {
        copy_into(aside.path, from, check);
        RealFiles files;
        files.sync(aside.path);
        files.rename(aside.path, to);
        files.sync_folder(to.parent_path().empty() ? "." : to.parent_path());
    } catch (const Failure&) {
        throw;
    } catch (const std::exception& error) {
        std::string what = error.what();
        std::replace(what.begin(), what.end(), '\n', ' ');
        throw Failure(kExitFailure, to.string() + ": can't be written as a copy of " + from.string() + " (" +
                                        what + "); check both, their folders and the space on the disk");
    }
}

} // namespace quietpass
