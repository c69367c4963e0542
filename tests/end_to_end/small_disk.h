// A small real disk (tmpfs), mounted where only this process and those it starts see it, that a test fills.
// Where the system allows neither a mount nor a namespace for one, there() is false and the test skips with
// one line. Tests only; one thread, before any other was started.
#pragma once

#include <cstdint>
#include <filesystem>

namespace quietpass::test {

class SmallDisk {
  public:
    // at: made when it is not there.
    SmallDisk(std::filesystem::path at, int megabytes);
    ~SmallDisk(); // unmounts it, busy or not
    SmallDisk(const SmallDisk&) = delete;
    SmallDisk& operator=(const SmallDisk&) = delete;

    bool there() const { return mounted_; }
    // Another file takes all but so many bytes; 0: to the last one.
    void leave_free(std::int64_t bytes);
    void empty();
    // false: the system does not allow it.
    bool make_read_only();

  private:
    std::filesystem::path at_;
    bool mounted_ = false;
};

} // namespace quietpass::test
