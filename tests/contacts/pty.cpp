#include "tests/contacts/pty.h"

#include <fcntl.h>
#include <pty.h>
#include <termios.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "daemon/failure.h"

namespace quietpass {

Pty::Pty(const std::string& path) : path_(path) {
    termios raw{};
    cfmakeraw(&raw);
    cfsetspeed(&raw, B115200);
    char name[256];
    if (openpty(&far_, &near_, name, &raw, nullptr) != 0) {
        throw Failure(kExitFailure,
                      path + ": no pseudo-terminal to be had (" + std::strerror(errno) + "); mount /dev/pts");
    }
    // A port that nobody reads fills up; the far end must not hang on it.
    fcntl(far_, F_SETFL, O_NONBLOCK);
    std::filesystem::remove(path_);
    std::filesystem::create_symlink(name, path_);
}

Pty::~Pty() {
    std::error_code ignored;
    std::filesystem::remove(path_, ignored);
    close(far_);
    close(near_);
}

} // namespace quietpass
