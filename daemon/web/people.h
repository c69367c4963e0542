// The accounts of those who may use the page: OUT/users.db, apart from the records so that no export or copy
// of those holds a password's hash. Changes are seen by a running daemon at once.
//
// Thread-safe: one connection behind a lock, each call some microseconds. Errors: Failure, exit 1 when the
// file can't be used, exit 2 for a name that is taken, unknown or no name. FORMATS.md has the table.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/web/role.h"

namespace quietpass {

struct Account {
    std::string name;
    PageRole role = PageRole::kWall;
    std::string hash; // of the password
    // Another one after each change of role or password: a session of an earlier one has ended.
    std::int64_t version = 0;
    std::int64_t added_utc_ns = 0;
    std::int64_t changed_utc_ns = 0;
};

class People {
  public:
    // Makes the file, for this user only, when it isn't there.
    explicit People(const std::filesystem::path& out);
    ~People();

    std::vector<Account> all() const; // by name
    std::optional<Account> find(const std::string& name) const;
    void add(const std::string& name, PageRole role, const std::string& hash, std::int64_t utc_ns);
    void set_role(const std::string& name, PageRole role, std::int64_t utc_ns);
    void set_hash(const std::string& name, const std::string& hash, std::int64_t utc_ns);
    void remove(const std::string& name);

  private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace quietpass
