// SQLite's files on a disk that can lose its power: an SQLite VFS in front of the real one that knows what
// was synced. Before a step (a write, a truncation, a sync, a deletion) of a given number it copies what such
// a disk would hold then: of each file what the last sync made sure, and of the writes since then any part,
// in any order, torn between sectors of 512 bytes. The process itself goes on; whoever drives it asks
// was_cut().
//
// While one lives, every database of the process goes through it. One thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>

namespace quietpass {

class UnsyncedDisk {
  public:
    // cut_before: the number of the step, from 0. seed: which of the unsynced sectors reached the disk. What
    // it held is written into `remains`, each file by its name alone.
    UnsyncedDisk(std::uint64_t cut_before, std::uint32_t seed, std::filesystem::path remains);
    ~UnsyncedDisk();
    UnsyncedDisk(const UnsyncedDisk&) = delete;
    UnsyncedDisk& operator=(const UnsyncedDisk&) = delete;

    bool was_cut() const;
    std::uint64_t steps() const;

    struct Parts;

  private:
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
