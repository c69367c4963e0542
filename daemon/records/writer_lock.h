// Holds a store for one writer, across processes, by a lock on a file beside it. The lock frees itself when
// the process ends in whatever way. Errors: Failure (exit 1) when another holds it or the file can't be made.
#pragma once

#include <filesystem>

namespace quietpass {

class WriterLock {
  public:
    explicit WriterLock(const std::filesystem::path& store_file);
    ~WriterLock();
    WriterLock(const WriterLock&) = delete;
    WriterLock& operator=(const WriterLock&) = delete;

  private:
    int fd_;
};

} // namespace quietpass
