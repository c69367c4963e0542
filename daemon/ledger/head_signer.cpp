#include "daemon/ledger/head_signer.h"

#include <SQLiteCpp/Statement.h>
#include <fcntl.h>
#include <unistd.h>

#include <optional>
#include <utility>

#include "daemon/failure.h"
#include "daemon/ledger/signed_head.h"

namespace quietpass {
namespace {

// A new key waits here until it is recorded.
std::filesystem::path next_file(const std::filesystem::path& file) {
    return file.string() + ".next";
}

void write_head(SQLite::Database& database, Ledger& ledger, const StationKey& key, std::string_view why,
                std::int64_t utc_ns) {
    SignedHead head;
    const std::int64_t seq = ledger.next_seq();
    head.of_seq = seq - 1;
    head.hash = ledger.last().hash;
    head.utc_ns = utc_ns;
    SQLite::Statement insert(database,
                             "INSERT INTO heads (seq, of_seq, hash, utc_ns, why, key_id, signature) "
                             "VALUES (?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, seq);
    insert.bind(2, head.of_seq);
    insert.bind(3, hex_of(head.hash));
    insert.bind(4, head.utc_ns);
    insert.bind(5, std::string(why));
    insert.bind(6, key.id());
    insert.bind(7, key.sign(signed_bytes(head)));
    insert.exec();
    ledger.record("heads", seq);
}

// The key's record, and a head by it.
void record_key(SQLite::Database& database, const StationKey& key, std::int64_t utc_ns,
                const std::string& replaces, const std::string& proof) {
    Ledger ledger(database);
    const std::int64_t seq = ledger.next_seq();
    SQLite::Statement insert(database,
                             "INSERT INTO keys (seq, key_id, public_key, since_utc_ns, replaces, proof) "
                             "VALUES (?, ?, ?, ?, nullif(?, ''), nullif(?, ''))");
    insert.bind(1, seq);
    insert.bind(2, key.id());
    insert.bind(3, key.public_key());
    insert.bind(4, utc_ns);
    insert.bind(5, replaces);
    insert.bind(6, proof);
    insert.exec();
    ledger.record("keys", seq);
    write_head(database, ledger, key, "key", utc_ns);
}

} // namespace

std::string key_in_force(SQLite::Database& database) {
    SQLite::Statement query(database, "SELECT key_id FROM keys ORDER BY seq DESC LIMIT 1");
    return query.executeStep() ? query.getColumn(0).getString() : "";
}

HeadSigner::HeadSigner(StationKey key, std::filesystem::path file, const Clock& clock,
                       std::function<void(const std::string&)> trouble)
    : key_(std::move(key)), file_(std::move(file)), clock_(clock), trouble_(std::move(trouble)) {}

bool HeadSigner::sign(SQLite::Database& database, Ledger& ledger, std::string_view why) {
    if (!has_key(key_in_force(database))) return false;
    write_head(database, ledger, key_, why, clock_.utc_ns());
    return true;
}

bool HeadSigner::has_key(const std::string& id) {
    if (key_.id() == id) return true;
    std::string found = key_.id();
    for (const std::filesystem::path& file : {file_, next_file(file_)}) {
        try {
            StationKey key = StationKey::load(file);
            if (key.id() == id) {
                key_ = std::move(key);
                return true;
            }
        } catch (const Failure& failure) {
            found = failure.what();
        }
    }
    if (trouble_)
        trouble_("the records are not signed: key " + id + " is in force, and it is not to be had (" + found +
                 ")");
    return false;
}

StationKey open_station_key(SQLite::Database& database, const std::filesystem::path& file,
                            const Clock& clock) {
    const std::string in_force = key_in_force(database);
    if (in_force.empty()) {
        StationKey key = std::filesystem::exists(file) ? StationKey::load(file) : StationKey::make(file);
        record_key(database, key, clock.utc_ns(), "", "");
        return key;
    }
    // A rotation that was stopped after its commit is finished here.
    if (std::filesystem::exists(next_file(file))) {
        if (StationKey::load(next_file(file)).id() == in_force) finish_rotation(file);
    }
    if (!std::filesystem::exists(file)) {
        throw Failure(kExitUsage,
                      "station key " + file.string() + ": is not there, and the records are signed by key " +
                          in_force +
                          "; put its file back, or if it is lost use `quietpass key rotate --lost`");
    }
    StationKey key = StationKey::load(file);
    if (key.id() == in_force) return key;
    throw Failure(kExitUsage, "station key " + file.string() + ": is key " + key.id() +
                                  ", the records are signed by key " + in_force +
                                  "; put its file back, or if it is lost use `quietpass key rotate --lost`");
}

StationKey rotate_station_key(SQLite::Database& database, const std::filesystem::path& file,
                              const Clock& clock, bool lost) {
    std::string in_force = key_in_force(database);
    std::string proof;
    std::optional<StationKey> old;
    if (lost && in_force.empty()) lost = false;
    if (!lost) {
        old = open_station_key(database, file, clock);
        in_force = old->id();
    }
    std::error_code ignored;
    std::filesystem::remove(next_file(file), ignored); // of a rotation that was stopped before its commit
    StationKey key = StationKey::make(next_file(file));
    const std::int64_t utc_ns = clock.utc_ns();
    if (old) proof = old->sign(key_proof_bytes(key.public_key(), utc_ns));
    record_key(database, key, utc_ns, in_force, proof);
    return key;
}

void finish_rotation(const std::filesystem::path& file) {
    std::error_code error;
    std::filesystem::rename(next_file(file), file, error);
    if (error) {
        throw Failure(kExitFailure, "station key " + file.string() + ": the new key is in " +
                                        next_file(file).string() + " and can't be moved here (" +
                                        error.message() + "); move it by hand");
    }
    const std::filesystem::path folder = file.parent_path().empty() ? "." : file.parent_path();
    const int opened = open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (opened < 0) return;
    fsync(opened);
    close(opened);
}

} // namespace quietpass
