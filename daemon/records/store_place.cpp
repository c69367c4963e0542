#include "daemon/records/store_place.h"

#include <system_error>

#include "daemon/failure.h"

namespace quietpass {

// A command that only looks must not make a store where there is none.
std::filesystem::path store_in(const std::string& command, const std::filesystem::path& records) {
    std::error_code ignored;
    if (std::filesystem::is_regular_file(records, ignored)) return records;
    for (const char* name : {"records.db", "shift.db"}) {
        if (std::filesystem::is_regular_file(records / name, ignored)) return records / name;
    }
    throw Failure(kExitUsage,
                  command + ": --out " + records.string() +
                      ": no record store is there; give the folder that `run` or `score` writes to");
}

} // namespace quietpass
