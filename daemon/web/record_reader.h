// Looks into the record store for the page, beside whoever writes: read-only connections of its own, as many
// as ask at a time. Any thread.
//
// Errors: SQLite::Exception.
#pragma once

#include <SQLiteCpp/Database.h>

#include <filesystem>
#include <memory>
#include <mutex>
#include <vector>

namespace quietpass {

class RecordReader {
  public:
    explicit RecordReader(std::filesystem::path file) : file_(std::move(file)) {}

    // What `work` gives, all of it from one moment of the store.
    template <typename Work>
    auto read(Work work) {
        const Lent lent(*this);
        return work(*lent.database);
    }

  private:
    // A connection for as long as it lives, in a transaction that is one moment of the store.
    struct Lent {
        explicit Lent(RecordReader& reader);
        ~Lent();
        Lent(const Lent&) = delete;
        Lent& operator=(const Lent&) = delete;
        RecordReader& owner;
        std::unique_ptr<SQLite::Database> database;
    };

    std::filesystem::path file_;
    std::mutex lock_;
    std::vector<std::unique_ptr<SQLite::Database>> idle_;
};

} // namespace quietpass
