#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <system_error>

#include "daemon/records/files.h"

namespace quietpass {
namespace {

[[noreturn]] void fail(const std::filesystem::path& path) {
    throw std::system_error(errno, std::generic_category(), path.string());
}

class Descriptor {
  public:
    Descriptor(const std::filesystem::path& path, int flags)
        : path_(path), fd_(::open(path.c_str(), flags, 0644)) {
        if (fd_ < 0) fail(path_);
    }
    ~Descriptor() {
        if (fd_ >= 0) ::close(fd_);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;

    int get() const { return fd_; }

    void sync() const {
        if (::fsync(fd_) != 0) fail(path_);
    }

    // A network disk may report a failed write only here.
    void close() {
        const int fd = fd_;
        fd_ = -1;
        if (::close(fd) != 0) fail(path_);
    }

  private:
    std::filesystem::path path_;
    int fd_;
};

} // namespace

void RealFiles::make_folders(const std::filesystem::path& folder) {
    std::filesystem::create_directories(folder);
}

void RealFiles::write(const std::filesystem::path& file, std::string_view bytes) {
    Descriptor out(file, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC);
    while (!bytes.empty()) {
        const ssize_t wrote = ::write(out.get(), bytes.data(), bytes.size());
        if (wrote < 0 && errno == EINTR) continue;
        if (wrote < 0) fail(file);
        bytes.remove_prefix(static_cast<std::size_t>(wrote));
    }
    out.close();
}

void RealFiles::sync(const std::filesystem::path& file) {
    Descriptor(file, O_RDONLY | O_CLOEXEC).sync();
}

void RealFiles::rename(const std::filesystem::path& from, const std::filesystem::path& to) {
    std::filesystem::rename(from, to);
}

void RealFiles::sync_folder(const std::filesystem::path& folder) {
    Descriptor(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC).sync();
}

void RealFiles::remove(const std::filesystem::path& file) {
    std::filesystem::remove(file);
}

std::optional<std::string> RealFiles::read(const std::filesystem::path& file) const {
    if (!std::filesystem::exists(file)) return std::nullopt;
    const Descriptor in(file, O_RDONLY | O_CLOEXEC);
    std::string bytes;
    std::string piece(65536, '\0');
    for (;;) {
        const ssize_t got = ::read(in.get(), piece.data(), piece.size());
        if (got < 0 && errno == EINTR) continue;
        if (got < 0) fail(file);
        if (got == 0) return bytes;
        bytes.append(piece, 0, static_cast<std::size_t>(got));
    }
}

std::vector<std::filesystem::path> RealFiles::files_under(const std::filesystem::path& folder) const {
    std::vector<std::filesystem::path> files;
    if (!std::filesystem::exists(folder)) return files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) files.push_back(entry.path());
    }
    std::sort(files.begin(), files.end());
    return files;
}

std::uint64_t RealFiles::free_bytes(const std::filesystem::path& folder) const {
    return std::filesystem::space(folder).available;
}

} // namespace quietpass
