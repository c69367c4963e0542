// Bytes as a file that has a path and no place on a disk. Tests only; one thread.
#pragma once

#include <sys/mman.h>
#include <unistd.h>

#include <stdexcept>
#include <string>
#include <string_view>

namespace quietpass::fuzz {

class FileInMemory {
  public:
    explicit FileInMemory(std::string_view bytes) : file_(memfd_create("bytes", MFD_CLOEXEC)) {
        if (file_ < 0 || ::write(file_, bytes.data(), bytes.size()) != static_cast<ssize_t>(bytes.size()))
            throw std::runtime_error("no file in memory");
    }
    ~FileInMemory() { close(file_); }
    FileInMemory(const FileInMemory&) = delete;
    FileInMemory& operator=(const FileInMemory&) = delete;

    std::string path() const { return "/proc/self/fd/" + std::to_string(file_); }

  private:
    int file_;
};

} // namespace quietpass::fuzz
