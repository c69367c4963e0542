#include "daemon/tuning/profile_writer.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "daemon/failure.h"
#include "daemon/tuning/profile_history.h"

namespace quietpass {
namespace {

namespace fs = std::filesystem;

class Descriptor {
  public:
    Descriptor(const fs::path& path, int flags) : descriptor_(open(path.c_str(), flags | O_CLOEXEC, 0644)) {}
    ~Descriptor() {
        if (descriptor_ >= 0) close(descriptor_);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    int get() const { return descriptor_; }

  private:
    int descriptor_;
};

[[noreturn]] void fail(const fs::path& file) {
    throw Failure(kExitFailure, file.string() + ": can't be written (" + std::strerror(errno) +
                                    "); choose a folder that may be written and has room");
}

bool write_all(int descriptor, const std::string& text) {
    std::size_t at = 0;
    while (at < text.size()) {
        const ssize_t wrote = write(descriptor, text.data() + at, text.size() - at);
        if (wrote < 0 && errno == EINTR) continue;
        if (wrote <= 0) return false;
        at += static_cast<std::size_t>(wrote);
    }
    return fsync(descriptor) == 0;
}

void place(const fs::path& file, const std::string& text) {
    const fs::path aside = file.string() + ".new";
    {
        const Descriptor out(aside, O_WRONLY | O_CREAT | O_TRUNC);
        if (out.get() < 0) fail(file);
        if (!write_all(out.get(), text)) {
            const int error = errno;
            unlink(aside.c_str());
            errno = error;
            fail(file);
        }
    }
    if (rename(aside.c_str(), file.c_str()) != 0) {
        const int error = errno;
        unlink(aside.c_str());
        errno = error;
        fail(file);
    }
    const Descriptor folder(file.has_parent_path() ? file.parent_path() : fs::path("."),
                            O_RDONLY | O_DIRECTORY);
    if (folder.get() >= 0) fsync(folder.get());
}

} // namespace

void write_whole(const fs::path& file, const std::string& text, bool keep_old) {
    if (keep_old && fs::exists(file)) keep(file);
    place(file, text);
}

} // namespace quietpass
