#include "tests/records/unsynced_disk.h"

#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <fstream>
#include <iterator>
#include <map>
#include <random>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace quietpass {
namespace {

constexpr std::size_t kSector = 512;

// A write or a truncation that no sync followed yet.
struct Unsynced {
    bool truncation = false;
    std::size_t at = 0; // of a truncation: the new length
    std::string bytes;
};

struct FileState {
    bool known = false;   // its name is on the disk: it was synced once, or was there before
    bool deleted = false; // and no sync of the folder followed yet: its name may still be there
    std::string synced;
    std::string now;
    std::vector<Unsynced> since;
};

void put(std::string& content, std::size_t at, std::string_view bytes) {
    if (content.size() < at + bytes.size()) content.resize(at + bytes.size(), '\0');
    content.replace(at, bytes.size(), bytes);
}

} // namespace

struct UnsyncedDisk::Parts {
    std::uint64_t cut_before;
    std::mt19937 random;
    std::filesystem::path remains;
    std::uint64_t steps = 0;
    bool cut = false;
    std::map<std::string, FileState> files;
    sqlite3_vfs* real = nullptr;
    sqlite3_vfs own{};

    void step() {
        if (steps++ == cut_before) cut_power();
    }

    void cut_power() {
        cut = true;
        std::filesystem::create_directories(remains);
        for (const auto& [path, state] : files) {
            if ((!state.known || state.deleted) && random() % 2 == 0) continue;
            std::ofstream(remains / std::filesystem::path(path).filename(), std::ios::binary)
                << left_of(state);
        }
    }

    // SQLite syncs the folder with the first sync of a file that it made.
    void sync_folder() {
        std::erase_if(files, [](const auto& file) { return file.second.deleted; });
    }

    std::string left_of(const FileState& state) {
        std::string content = state.synced;
        for (const Unsynced& unsynced : state.since) {
            if (unsynced.truncation) {
                if (random() % 2 == 0) content.resize(std::min(content.size(), unsynced.at));
                continue;
            }
            // Sectors reach the disk or don't, each for itself; half of the writes not at all.
            if (random() % 2 == 0) continue;
            const std::string& bytes = unsynced.bytes;
            for (std::size_t i = 0; i < bytes.size(); i += kSector) {
                if (random() % 4 != 0)
                    put(content, unsynced.at + i, std::string_view(bytes).substr(i, kSector));
            }
        }
        return content;
    }
};

namespace {

using Parts = UnsyncedDisk::Parts;

// What SQLite holds of an open file; the real one's follows it in memory.
struct WatchedFile {
    sqlite3_file base;
    Parts* parts;
    FileState* state; // null: a temporary file without a name, which no power cut leaves
    sqlite3_file* real() { return reinterpret_cast<sqlite3_file*>(this + 1); }
};

WatchedFile& of(sqlite3_file* file) {
    return *reinterpret_cast<WatchedFile*>(file);
}

int close_file(sqlite3_file* file) {
    sqlite3_file* real = of(file).real();
    return real->pMethods != nullptr ? real->pMethods->xClose(real) : SQLITE_OK;
}
int read_file(sqlite3_file* file, void* to, int bytes, sqlite3_int64 at) {
    sqlite3_file* real = of(file).real();
    return real->pMethods->xRead(real, to, bytes, at);
}
int write_file(sqlite3_file* file, const void* from, int bytes, sqlite3_int64 at) {
    WatchedFile& watched = of(file);
    if (watched.state != nullptr) {
        watched.parts->step();
        const std::string data(static_cast<const char*>(from), static_cast<std::size_t>(bytes));
        put(watched.state->now, static_cast<std::size_t>(at), data);
        watched.state->since.push_back({false, static_cast<std::size_t>(at), data});
    }
    return watched.real()->pMethods->xWrite(watched.real(), from, bytes, at);
}
int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
    WatchedFile& watched = of(file);
    if (watched.state != nullptr) {
        watched.parts->step();
        const auto length = static_cast<std::size_t>(size);
        watched.state->now.resize(std::min(watched.state->now.size(), length));
        watched.state->since.push_back({true, length, {}});
    }
    return watched.real()->pMethods->xTruncate(watched.real(), size);
}
int sync_file(sqlite3_file* file, int flags) {
    WatchedFile& watched = of(file);
    if (watched.state != nullptr) {
        watched.parts->step();
        if (!std::exchange(watched.state->known, true)) watched.parts->sync_folder();
        watched.state->synced = watched.state->now;
        watched.state->since.clear();
    }
    return watched.real()->pMethods->xSync(watched.real(), flags);
}
int size_of_file(sqlite3_file* file, sqlite3_int64* size) {
    return of(file).real()->pMethods->xFileSize(of(file).real(), size);
}
int lock_file(sqlite3_file* file, int level) {
    return of(file).real()->pMethods->xLock(of(file).real(), level);
}
int unlock_file(sqlite3_file* file, int level) {
    return of(file).real()->pMethods->xUnlock(of(file).real(), level);
}
int is_reserved(sqlite3_file* file, int* result) {
    return of(file).real()->pMethods->xCheckReservedLock(of(file).real(), result);
}
int control_file(sqlite3_file* file, int operation, void* argument) {
    return of(file).real()->pMethods->xFileControl(of(file).real(), operation, argument);
}
// The size of a sector is what SQLite works with, too; and no promise that it could lean on.
int sector_size(sqlite3_file*) {
    return static_cast<int>(kSector);
}
int promises(sqlite3_file*) {
    return 0;
}
int map_shared(sqlite3_file* file, int page, int size, int extend, void volatile** to) {
    return of(file).real()->pMethods->xShmMap(of(file).real(), page, size, extend, to);
}
int lock_shared(sqlite3_file* file, int offset, int count, int flags) {
    return of(file).real()->pMethods->xShmLock(of(file).real(), offset, count, flags);
}
void order_shared(sqlite3_file* file) {
    of(file).real()->pMethods->xShmBarrier(of(file).real());
}
int unmap_shared(sqlite3_file* file, int remove) {
    return of(file).real()->pMethods->xShmUnmap(of(file).real(), remove);
}

constexpr sqlite3_io_methods kMethods = {
    2,           close_file,   read_file,    write_file,   truncate_file, sync_file, size_of_file,
    lock_file,   unlock_file,  is_reserved,  control_file, sector_size,   promises,  map_shared,
    lock_shared, order_shared, unmap_shared, nullptr,      nullptr};

int open_file(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    auto* parts = static_cast<Parts*>(vfs->pAppData);
    WatchedFile& watched = of(file);
    watched.parts = parts;
    watched.state = nullptr;
    watched.base.pMethods = nullptr;
    const int result = parts->real->xOpen(parts->real, name, watched.real(), flags, out_flags);
    if (result != SQLITE_OK) return result;
    watched.base.pMethods = &kMethods;
    if (name == nullptr || (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL | SQLITE_OPEN_MAIN_JOURNAL)) == 0)
        return SQLITE_OK;
    const auto [found, is_new] = parts->files.try_emplace(name);
    watched.state = &found->second;
    found->second.deleted = false;
    if (!is_new) return SQLITE_OK;
    std::ifstream in(name, std::ios::binary);
    found->second.now.assign(std::istreambuf_iterator<char>(in), {});
    found->second.synced = found->second.now;
    found->second.known = !found->second.now.empty();
    return SQLITE_OK;
}

int delete_file(sqlite3_vfs* vfs, const char* name, int sync_folder) {
    auto* parts = static_cast<Parts*>(vfs->pAppData);
    parts->step();
    if (const auto found = parts->files.find(name); found != parts->files.end()) {
        found->second.deleted = true;
        found->second.now.clear();
    }
    if (sync_folder != 0) parts->sync_folder();
    return parts->real->xDelete(parts->real, name, sync_folder);
}

} // namespace

UnsyncedDisk::UnsyncedDisk(std::uint64_t cut_before, std::uint32_t seed, std::filesystem::path remains)
    : parts_(std::make_unique<Parts>()) {
    parts_->cut_before = cut_before;
    parts_->random.seed(seed);
    parts_->remains = std::move(remains);
    parts_->real = sqlite3_vfs_find(nullptr);
    parts_->own = *parts_->real;
    parts_->own.pNext = nullptr;
    parts_->own.zName = "unsynced";
    parts_->own.szOsFile = static_cast<int>(sizeof(WatchedFile)) + parts_->real->szOsFile;
    parts_->own.pAppData = parts_.get();
    parts_->own.xOpen = open_file;
    parts_->own.xDelete = delete_file;
    if (sqlite3_vfs_register(&parts_->own, 1) != SQLITE_OK) throw std::runtime_error("the VFS was refused");
}

UnsyncedDisk::~UnsyncedDisk() {
    sqlite3_vfs_unregister(&parts_->own);
    sqlite3_vfs_register(parts_->real, 1);
}

bool UnsyncedDisk::was_cut() const {
    return parts_->cut;
}

std::uint64_t UnsyncedDisk::steps() const {
    return parts_->steps;
}

} // namespace quietpass
