// Writes shift.sig.json beside a closed shift's files once the store has the shift's record and a signed head
// over it, so that the folder can be handed on with its proof (daemon/ledger/FORMATS.md).
//
// Looks into the store about once a second, by a connection of its own. Trouble with the disk or the store is
// a line in the log and is tried again at the next start. One thread.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>

#include "daemon/records/files.h"
#include "daemon/records/store.h"

namespace quietpass {

class ShiftSignatures {
  public:
    using Say = std::function<void(bool warning, const std::string& line)>;

    // files must outlive it. Shifts that an earlier run closed and did not get to are done at the first look.
    ShiftSignatures(Files& files, std::filesystem::path out, Say say);

    // monotonic_ns: to look no more often than needed.
    void turn(std::int64_t monotonic_ns);
    void look();

  private:
    Files& files_;
    std::filesystem::path out_;
    Say say_;
    Store reader_;
    std::int64_t after_seq_ = 0; // shift records up to here are done
    std::int64_t next_look_ns_ = 0;
};

} // namespace quietpass
