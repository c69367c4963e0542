#include "daemon/web/record_reader.h"

namespace quietpass {

RecordReader::Lent::Lent(RecordReader& reader) : owner(reader) {
    {
        const std::lock_guard held(owner.lock_);
        if (!owner.idle_.empty()) {
            database = std::move(owner.idle_.back());
            owner.idle_.pop_back();
        }
    }
    constexpr int kBusy_ms = 5000;
    if (!database) {
        // One thread at a time has it, so it needs no lock of its own.
        database = std::make_unique<SQLite::Database>(
            owner.file_.string(), SQLite::OPEN_READONLY | SQLite::OPEN_NOMUTEX, kBusy_ms);
    }
    database->exec("BEGIN");
}

RecordReader::Lent::~Lent() {
    try {
        database->exec("ROLLBACK");
        const std::lock_guard held(owner.lock_);
        owner.idle_.push_back(std::move(database));
    } catch (const std::exception&) {
        // A connection in trouble isn't kept.
    }
}

} // namespace quietpass
