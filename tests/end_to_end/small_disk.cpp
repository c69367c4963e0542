#include "tests/end_to_end/small_disk.h"

#include <fcntl.h>
#include <sched.h>
#include <sys/mount.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <iostream>
#include <string>
#include <utility>
#include <vector>

namespace quietpass::test {

namespace {

constexpr const char* kFiller = "filler";

void write_to_system(const char* file, const std::string& text) {
    std::ofstream(file) << text;
}

// Mounts of our own from now on.
bool apart() {
    const auto uid = std::to_string(geteuid());
    const auto gid = std::to_string(getegid());
    if (unshare(CLONE_NEWNS) != 0) {
        if (unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
        write_to_system("/proc/self/setgroups", "deny");
        write_to_system("/proc/self/uid_map", "0 " + uid + " 1");
        write_to_system("/proc/self/gid_map", "0 " + gid + " 1");
    }
    return mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0;
}

} // namespace

SmallDisk::SmallDisk(std::filesystem::path at, int megabytes) : at_(std::move(at)) {
    static const bool kApart = apart();
    std::filesystem::create_directories(at_);
    const std::string size = "size=" + std::to_string(megabytes) + "m";
    mounted_ = kApart && mount("tmpfs", at_.c_str(), "tmpfs", 0, size.c_str()) == 0;
    if (!mounted_) std::cout << "skipped: a small disk can't be mounted here\n";
}

SmallDisk::~SmallDisk() {
    if (mounted_) umount2(at_.c_str(), MNT_DETACH);
}

void SmallDisk::leave_free(std::int64_t bytes) {
    const int file = ::open((at_ / kFiller).c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    const std::vector<char> piece(4096);
    // What a running program writes meanwhile counts too: it is looked at anew for each piece.
    for (;;) {
        const auto space = static_cast<std::int64_t>(std::filesystem::space(at_).available);
        if (space <= bytes) break;
        if (::write(file, piece.data(),
                    std::min<std::size_t>(piece.size(), static_cast<std::size_t>(space - bytes))) <= 0)
            break;
    }
    ::close(file);
}

void SmallDisk::empty() {
    std::filesystem::remove(at_ / kFiller);
}

bool SmallDisk::make_read_only() {
    return mount("tmpfs", at_.c_str(), "tmpfs", MS_REMOUNT | MS_RDONLY, nullptr) == 0;
}

} // namespace quietpass::test
