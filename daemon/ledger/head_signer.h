// Signs heads of the ledger with the station's key, inside the transactions that write the records.
//
// The key that signs must be the one that the records name last (table `keys`). Where `quietpass key rotate`
// has replaced it meanwhile, the new one is read from its file. While there is no such key, nothing is signed
// and the records go on: `trouble` is told, and the next head covers them all.
//
// One thread at a time. Errors: Failure at set-up; SQLite::Exception.
#pragma once

#include <SQLiteCpp/Database.h>

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

#include "daemon/clock.h"
#include "daemon/ledger/ledger.h"
#include "daemon/ledger/station_key.h"

namespace quietpass {

class HeadSigner {
  public:
    // Nothing of the database is touched before sign().
    HeadSigner(StationKey key, std::filesystem::path file, const Clock& clock,
               std::function<void(const std::string&)> trouble = {});

    // Over the ledger's last record; adds the head's own record after it. False: not signed.
    bool sign(SQLite::Database& database, Ledger& ledger, std::string_view why);

    const StationKey& key() const { return key_; }

  private:
    bool has_key(const std::string& id);

    StationKey key_;
    std::filesystem::path file_;
    const Clock& clock_;
    std::function<void(const std::string&)> trouble_;
};

// The station's key for this store, ready to sign: loaded, or made where neither the store nor the file has
// one yet; recorded with a first head. Inside the caller's IMMEDIATE transaction. A Failure tells when the
// file's key isn't the store's.
StationKey open_station_key(SQLite::Database& database, const std::filesystem::path& file,
                            const Clock& clock);

// A new key takes over, vouched for by the old one; lost: the old one is gone and can't vouch. Inside the
// caller's IMMEDIATE transaction; the file is in place once finish_rotation() was called after its commit.
StationKey rotate_station_key(SQLite::Database& database, const std::filesystem::path& file,
                              const Clock& clock, bool lost);
void finish_rotation(const std::filesystem::path& file);

// The key in force by the records: its id, empty before the first.
std::string key_in_force(SQLite::Database& database);

} // namespace quietpass
