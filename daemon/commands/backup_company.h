// What a backup has beside the store, each a file of its own whose name begins with the backup's:
//   BACKUP.users.db          the page's accounts, mode 0600 as the original (hashes of passwords are in it)
//   BACKUP.calibrations.csv  the calibrations that a run reads at its start
// They are made before the backup itself gets its name, so that a backup that is there has its company.
//
// Not in it, on purpose: the station's key (whoever has it and a copy of the records can make a false history
// that verifies, and backups go to many places), the page's own certificate (made anew), secrets named by the
// station file (they lie beside it, outside the records), clips (their hashes are in the records), and the
// outbox (what waited then would be told again).
//
// Errors: Failure, exit 1. One thread.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace quietpass {

// Lines for people: what was copied.
std::vector<std::string> back_up_company(const std::filesystem::path& out,
                                         const std::filesystem::path& backup);
// The company of a backup that could not be finished.
void remove_company(const std::filesystem::path& backup);

// accounts: also where there are some. Else those that are there stay: somebody may have been taken out since
// the backup. A calibrations.csv that is there stays: it only ever grows. What gives way is kept under
// another name.
std::vector<std::string> restore_company(const std::filesystem::path& backup,
                                         const std::filesystem::path& out, bool accounts);

// What a person must still see to; empty: nothing.
std::vector<std::string> still_needed(const std::filesystem::path& out);

} // namespace quietpass
