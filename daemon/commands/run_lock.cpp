#include "daemon/commands/run_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>

#include "daemon/failure.h"

namespace quietpass {

RunLock::RunLock(const std::string& folder) {
    const std::string path = folder + "/lock";
    file_ = open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
    if (file_ < 0) {
        throw Failure(kExitFailure, path + ": can't be made (" + std::generic_category().message(errno) +
                                        "); check the folder's permissions and the disk");
    }
    if (flock(file_, LOCK_EX | LOCK_NB) != 0) {
        close(file_);
        throw Failure(kExitFailure,
                      folder + ": another quietpass run writes there; stop it, or give --out another folder");
    }
}

RunLock::~RunLock() {
    close(file_);
}

bool folder_is_held(const std::string& folder) {
    const int file = open((folder + "/lock").c_str(), O_RDONLY | O_CLOEXEC);
    if (file < 0) return false;
    const bool held = flock(file, LOCK_SH | LOCK_NB) != 0 && errno == EWOULDBLOCK;
    close(file);
    return held;
}

} // namespace quietpass
