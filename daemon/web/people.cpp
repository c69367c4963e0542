#include "daemon/web/people.h"

#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>
#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <mutex>

#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::size_t kLongestName = 64;

constexpr const char* kTable = R"sql(
CREATE TABLE IF NOT EXISTS users (
  name           TEXT PRIMARY KEY,
  role           TEXT NOT NULL,
  hash           TEXT NOT NULL,
  version        INTEGER NOT NULL UNIQUE,
  added_utc_ns   INTEGER NOT NULL,
  changed_utc_ns INTEGER NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS versions (last INTEGER NOT NULL) STRICT;
INSERT INTO versions SELECT 0 WHERE NOT EXISTS (SELECT 1 FROM versions);
)sql";

// SQLite gives its other files the mode of the first, so it is made by hand.
std::filesystem::path made(const std::filesystem::path& out) {
    const std::filesystem::path file = out / "users.db";
    const int descriptor = open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (descriptor < 0) {
        throw Failure(kExitFailure,
                      file.string() + ": can't be made or written; check the folder and its owner");
    }
    close(descriptor);
    return file;
}

void check_name(const std::string& name) {
    const bool odd = std::any_of(name.begin(), name.end(), [](char letter) {
        return static_cast<unsigned char>(letter) <= ' ' || letter == 0x7f;
    });
    if (name.empty() || name.size() > kLongestName || odd) {
        throw Failure(kExitUsage, "users: expected a name of 1 to 64 bytes without blanks");
    }
}

Account account_of(SQLite::Statement& query) {
    const auto role = page_role_named(query.getColumn(1).getString());
    return {query.getColumn(0).getString(), role.value_or(PageRole::kWall), query.getColumn(2).getString(),
            query.getColumn(3).getInt64(),  query.getColumn(4).getInt64(),  query.getColumn(5).getInt64()};
}

constexpr const char* kSelect = "SELECT name, role, hash, version, added_utc_ns, changed_utc_ns FROM users";

} // namespace

struct People::Parts {
    std::filesystem::path file;
    std::mutex lock;
    SQLite::Database database;

    explicit Parts(const std::filesystem::path& path)
        : file(path), database(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE, 5000) {
        database.exec("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL");
        database.exec(kTable);
    }

    template <typename Work>
    auto with(Work work) {
        const std::lock_guard held(lock);
        try {
            return work(database);
        } catch (const SQLite::Exception& error) {
            throw Failure(kExitFailure, file.string() + ": can't be used (" + error.what() +
                                            "); check the file and the space on the disk");
        }
    }

    // One row of `name`, changed by `sql` with ?1 name, ?2 value, ?3 version, ?4 now.
    void change(const std::string& sql, const std::string& name, const std::string& value,
                std::int64_t utc_ns) {
        with([&](SQLite::Database& db) {
            SQLite::Transaction transaction(db, SQLite::TransactionBehavior::IMMEDIATE);
            db.exec("UPDATE versions SET last = last + 1");
            SQLite::Statement update(db, sql);
            update.bind(1, name);
            update.bind(2, value);
            update.bind(3, db.execAndGet("SELECT last FROM versions").getInt64());
            update.bind(4, utc_ns);
            if (update.exec() == 0) unknown(name);
            transaction.commit();
        });
    }

    [[noreturn]] static void unknown(const std::string& name) {
        throw Failure(kExitUsage, "users: there is no user " + name + "; `quietpass users list` has them");
    }
};

People::People(const std::filesystem::path& out) {
    const std::filesystem::path file = made(out);
    try {
        parts_ = std::make_unique<Parts>(file);
    } catch (const SQLite::Exception& error) {
        throw Failure(kExitFailure, file.string() + ": can't be used (" + error.what() +
                                        "); check the file and the space on the disk");
    }
}

People::~People() = default;

std::vector<Account> People::all() const {
    return parts_->with([](SQLite::Database& database) {
        SQLite::Statement query(database, std::string(kSelect) + " ORDER BY name");
        std::vector<Account> accounts;
        while (query.executeStep()) accounts.push_back(account_of(query));
        return accounts;
    });
}

std::optional<Account> People::find(const std::string& name) const {
    return parts_->with([&name](SQLite::Database& database) -> std::optional<Account> {
        SQLite::Statement query(database, std::string(kSelect) + " WHERE name = ?");
        query.bind(1, name);
        if (!query.executeStep()) return std::nullopt;
        return account_of(query);
    });
}

void People::add(const std::string& name, PageRole role, const std::string& hash, std::int64_t utc_ns) {
    check_name(name);
    if (find(name)) throw Failure(kExitUsage, "users: there is a user " + name + " already");
    parts_->with([&](SQLite::Database& database) {
        SQLite::Transaction transaction(database, SQLite::TransactionBehavior::IMMEDIATE);
        database.exec("UPDATE versions SET last = last + 1");
        SQLite::Statement insert(
            database,
            "INSERT INTO users (name, role, hash, version, added_utc_ns, changed_utc_ns) "
            "SELECT ?1, ?2, ?3, last, ?4, ?4 FROM versions");
        insert.bind(1, name);
        insert.bind(2, std::string(name_of(role)));
        insert.bind(3, hash);
        insert.bind(4, utc_ns);
        insert.exec();
        transaction.commit();
    });
}

void People::set_role(const std::string& name, PageRole role, std::int64_t utc_ns) {
    parts_->change("UPDATE users SET role = ?2, version = ?3, changed_utc_ns = ?4 WHERE name = ?1", name,
                   std::string(name_of(role)), utc_ns);
}

void People::set_hash(const std::string& name, const std::string& hash, std::int64_t utc_ns) {
    parts_->change("UPDATE users SET hash = ?2, version = ?3, changed_utc_ns = ?4 WHERE name = ?1", name,
                   hash, utc_ns);
}

void People::remove(const std::string& name) {
    parts_->with([&](SQLite::Database& database) {
        SQLite::Statement remove(database, "DELETE FROM users WHERE name = ?");
        remove.bind(1, name);
        if (remove.exec() == 0) Parts::unknown(name);
    });
}

} // namespace quietpass
