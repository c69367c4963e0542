#include "daemon/records/writer_lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <system_error>

#include "daemon/failure.h"

namespace quietpass {

WriterLock::WriterLock(const std::filesystem::path& store_file)
    : fd_(::open((store_file.string() + ".lock").c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644)) {
    const int open_error = errno;
    if (fd_ < 0) {
        throw Failure(kExitFailure, "record store " + store_file.string() +
                                        ": its lock file can't be made (" +
                                        std::generic_category().message(open_error) +
                                        "); give a folder that can be written");
    }
    if (::flock(fd_, LOCK_EX | LOCK_NB) != 0) {
        ::close(fd_);
        throw Failure(kExitFailure, "record store " + store_file.string() +
                                        ": another program writes to it; stop that one or give another file");
    }
}

WriterLock::~WriterLock() {
    ::close(fd_);
}

} // namespace quietpass
