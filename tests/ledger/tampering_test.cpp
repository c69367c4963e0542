// Whoever has the file can write anything into it. Whatever is done to any record of any kind, verifying
// finds it. Each trial is done on a signed store in a transaction that is taken back.
#include <SQLiteCpp/Savepoint.h>
#include <sqlite3.h>

#include <rapidcheck/catch.h>
#include <bit>
#include <catch2/catch.hpp>

#include "daemon/ledger/evidence_tables.h"
#include "daemon/ledger/table_rows.h"
#include "tests/ledger/signed_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

// Where a value stands.
struct Place {
    std::string table;
    std::int64_t seq = 0;
    std::string column;
    bool null = false;
};

class Tampered {
  public:
    Tampered() {
        {
            SignedStore made(temp_.path());
            made.fill();
        }
        database_.emplace((temp_ / "records.db").string(), SQLite::OPEN_READWRITE);
        drop_triggers(*database_);
        database_->exec("PRAGMA ignore_check_constraints = ON; PRAGMA foreign_keys = OFF");
        const LedgerVerdict verdict = check_store(*database_);
        REQUIRE_FALSE(verdict.misfit);
        last_seq_ = verdict.last_seq;
        for (const std::string_view table : kEvidenceTables) list(std::string(table));
    }

    SQLite::Database& database() { return *database_; }
    const std::vector<Place>& places() const { return places_; }
    std::int64_t last_seq() const { return last_seq_; }
    std::string kind_of(std::int64_t seq) {
        return database_->execAndGet("SELECT kind FROM ledger WHERE seq = " + std::to_string(seq))
            .getString();
    }

    // What checking finds after `tamper`, which is then taken back. Nothing where the tables themselves
    // refused it.
    template <typename Tamper>
    std::optional<LedgerVerdict> verdict_after(Tamper tamper, const LedgerTrust& trust = {}) {
        database_->exec("BEGIN");
        std::optional<LedgerVerdict> verdict;
        try {
            tamper(*database_);
            verdict = check_store(*database_, trust);
        } catch (const SQLite::Exception& error) {
            if ((error.getErrorCode() & 0xff) != SQLITE_CONSTRAINT) FAIL(error.what());
        }
        database_->exec("ROLLBACK");
        return verdict;
    }

  private:
    void list(const std::string& table) {
        SQLite::Statement rows(*database_, "SELECT * FROM " + table);
        int count = 0;
        for (; rows.executeStep(); ++count) {
            for (int i = 0; i < rows.getColumnCount(); ++i)
                places_.push_back(
                    {table, rows.getColumn(0).getInt64(), rows.getColumnName(i), rows.getColumn(i).isNull()});
        }
        INFO(table);
        REQUIRE(count > 0);
    }

    TestFolder temp_;
    std::optional<SQLite::Database> database_;
    std::vector<Place> places_;
    std::int64_t last_seq_ = 0;
};

void update(SQLite::Database& database, const Place& place, const auto& bind) {
    SQLite::Statement change(database,
                             "UPDATE " + place.table + " SET " + place.column + " = ? WHERE seq = ?");
    bind(change);
    change.bind(2, place.seq);
    change.exec();
}

// False: what comes of it is no value (NaN).
bool flip(SQLite::Database& database, const Place& place, std::uint32_t bit) {
    SQLite::Statement query(database, "SELECT " + place.column + " FROM " + place.table +
                                          " WHERE seq = " + std::to_string(place.seq));
    query.executeStep();
    const SQLite::Column value = query.getColumn(0);
    if (value.isInteger()) {
        const auto bits = static_cast<std::uint64_t>(value.getInt64()) ^ (std::uint64_t{1} << bit % 64);
        query.reset();
        update(database, place,
               [&](SQLite::Statement& change) { change.bind(1, static_cast<std::int64_t>(bits)); });
    } else if (value.isFloat()) {
        const auto bits = std::bit_cast<std::uint64_t>(value.getDouble()) ^ (std::uint64_t{1} << bit % 64);
        const auto flipped = std::bit_cast<double>(bits);
        const bool same = flipped == value.getDouble(); // SQLite knows no −0
        query.reset();
        if (std::isnan(flipped) || same) return false;
        update(database, place, [&](SQLite::Statement& change) { change.bind(1, flipped); });
    } else {
        std::string text = value.getString();
        query.reset();
        if (text.empty()) return false;
        text[bit / 8 % text.size()] = static_cast<char>(text[bit / 8 % text.size()] ^ (1 << bit % 8));
        update(database, place, [&](SQLite::Statement& change) { change.bind(1, text); });
    }
    return true;
}

// The whole ledger anew over what the rows say now: what one does who knows how it is made.
void chain_anew(SQLite::Database& database) {
    database.exec("CREATE TEMP TABLE was AS SELECT seq, kind FROM main.ledger; DELETE FROM main.ledger");
    {
        Ledger ledger(database);
        SQLite::Statement was(database, "SELECT seq, kind FROM was ORDER BY seq");
        while (was.executeStep()) {
            ledger.next_seq();
            ledger.record(was.getColumn(1).getString(), was.getColumn(0).getInt64());
        }
    }
    database.exec("DROP TABLE was");
}

std::string number(std::int64_t value) {
    return std::to_string(value);
}

// Nothing where no bit was flipped.
std::optional<LedgerVerdict> verdict_after_flip(Tampered& store, const Place& place, std::uint32_t bit) {
    bool flipped = false;
    auto verdict =
        store.verdict_after([&](SQLite::Database& database) { flipped = flip(database, place, bit); });
    return flipped ? verdict : std::nullopt;
}

bool is_named(const LedgerVerdict& verdict, const Place& place) {
    if (!verdict.misfit) return false;
    if (place.column == "seq") return verdict.misfit->seq <= place.seq;
    return verdict.misfit->seq == place.seq && verdict.misfit->kind == place.table &&
           verdict.misfit->cause == MisfitCause::kChanged;
}

std::string words_of(const Place& place) {
    return place.table + "." + place.column + " of record " + std::to_string(place.seq);
}

} // namespace

TEST_CASE("A bit flipped in any value of any record of any kind is found, and named") {
    Tampered store;
    std::size_t flipped = 0;
    for (std::size_t i = 0; i < store.places().size(); ++i) {
        const Place& place = store.places()[i];
        if (place.null) continue;
        const auto verdict = verdict_after_flip(store, place, static_cast<std::uint32_t>(i) * 7U);
        if (!verdict) continue;
        ++flipped;
        INFO(words_of(place));
        CHECK(is_named(*verdict, place));
    }
    CHECK(flipped * 10 > store.places().size() * 6); // the rest is NULL, empty or a key that is taken
    rc::prop("any bit of any value", [&] {
        const Place& place = *rc::gen::elementOf(store.places());
        const auto bit = *rc::gen::inRange<std::uint32_t>(0, 1024);
        RC_PRE(!place.null);
        const auto verdict = verdict_after_flip(store, place, bit);
        RC_PRE(verdict.has_value());
        RC_LOG() << words_of(place) << ", bit " << bit;
        RC_ASSERT(is_named(*verdict, place));
    });
}

TEST_CASE("A value put where none was, or taken away, is found") {
    Tampered store;
    std::size_t tried = 0;
    for (const Place& place : store.places()) {
        if (place.column == "seq") continue; // never NULL
        INFO(words_of(place));
        const auto verdict = store.verdict_after([&](SQLite::Database& database) {
            SQLite::Statement type(database, "SELECT type FROM pragma_table_info(?) WHERE name = ?");
            type.bind(1, place.table);
            type.bind(2, place.column);
            type.executeStep();
            const bool text = type.getColumn(0).getString() == "TEXT";
            update(database, place, [&](SQLite::Statement& change) {
                if (!place.null) return change.bind(1);
                if (text) return change.bind(1, std::string());
                change.bind(1, 0);
            });
        });
        if (!verdict) continue; // may not be NULL
        CHECK(verdict->misfit);
        CHECK(verdict->misfit->seq == place.seq);
        ++tried;
    }
    CHECK(tried > 50);
}

TEST_CASE("Two records that changed places are found") {
    Tampered store;
    rc::prop("any two", [&] {
        const auto one = *rc::gen::inRange<std::int64_t>(1, store.last_seq() + 1);
        const auto other = *rc::gen::inRange<std::int64_t>(1, store.last_seq() + 1);
        RC_PRE(one != other);
        const bool with_entries = *rc::gen::arbitrary<bool>();
        const std::string kind_of_one = store.kind_of(one);
        const std::string kind_of_other = store.kind_of(other);
        const auto verdict = store.verdict_after([&](SQLite::Database& database) {
            const auto move = [&](const std::string& table, std::int64_t from, std::int64_t to) {
                database.exec("UPDATE " + table + " SET seq = " + number(to) +
                              " WHERE seq = " + number(from));
            };
            const auto swap = [&](const std::string& first, const std::string& second) {
                move(first, one, 1'000'000);
                move(second, other, one);
                move(first, 1'000'000, other);
            };
            swap(kind_of_one, kind_of_other);
            if (with_entries) swap("ledger", "ledger");
        });
        RC_ASSERT(verdict.has_value());
        RC_ASSERT(verdict->misfit.has_value());
        RC_ASSERT(verdict->misfit->seq == std::min(one, other));
        if (!with_entries) RC_ASSERT(verdict->misfit->cause == MisfitCause::kOutOfOrder);
    });
}

TEST_CASE("A record that was dropped is found: its row, its ledger entry, or both, the last one too") {
    Tampered store;
    for (std::int64_t seq = 1; seq <= store.last_seq(); ++seq) {
        const std::string table = store.kind_of(seq);
        const std::string where = " WHERE seq = " + number(seq);
        const auto after = [&](bool row, bool entry) {
            return store.verdict_after([&](SQLite::Database& database) {
                if (row) database.exec("DELETE FROM " + table + where);
                if (entry) database.exec("DELETE FROM ledger" + where);
            });
        };
        INFO(seq << " " << table);
        REQUIRE(after(true, false)->misfit);
        CHECK(after(true, false)->misfit->cause == MisfitCause::kEntryWithoutRow);
        CHECK(after(true, false)->misfit->seq == seq);
        REQUIRE(after(false, true)->misfit);
        CHECK(after(false, true)->misfit->cause == MisfitCause::kRowWithoutEntry);
        CHECK(after(false, true)->misfit->seq == seq);
        REQUIRE(after(true, true)->misfit);
        CHECK(after(true, true)->misfit->cause == MisfitCause::kMissing);
        CHECK(after(true, true)->misfit->seq == seq);
    }
}

TEST_CASE("A record that was put in is found, whatever number it was given") {
    Tampered store;
    const std::int64_t last = store.last_seq();
    const std::int64_t numbers[] = {
        std::numeric_limits<std::int64_t>::min(), -1, 0, 1, 5, last, last + 1, last + 9,
        std::numeric_limits<std::int64_t>::max()};
    for (const std::int64_t seq : numbers) {
        INFO(seq);
        const auto with_row = store.verdict_after([&](SQLite::Database& database) {
            database.exec("INSERT INTO accesses VALUES (" + number(seq) + ", 1, 'nobody', 'play', '', '')");
        });
        if (with_row) { // refused where an access stands already
            REQUIRE(with_row->misfit);
            CHECK(with_row->misfit->cause == MisfitCause::kRowWithoutEntry);
        }
        const auto with_entry = store.verdict_after([&](SQLite::Database& database) {
            database.exec("INSERT INTO ledger VALUES (" + number(seq) + ", 'accesses', zeroblob(32))");
        });
        if (with_entry) CHECK(with_entry->misfit);
    }
    // Between two others, which make room.
    const auto between = store.verdict_after([&](SQLite::Database& database) {
        for (const std::string_view table : kEvidenceTables) {
            const std::string name(table);
            database.exec("UPDATE " + name + " SET seq = -seq - 1 WHERE seq > 5; UPDATE " + name +
                          " SET seq = -seq WHERE seq < 0");
        }
        database.exec(
            "UPDATE ledger SET seq = -seq - 1 WHERE seq > 5; UPDATE ledger SET seq = -seq WHERE seq < 0");
        database.exec("INSERT INTO accesses VALUES (6, 1, 'nobody', 'play', '', '')");
        database.exec("INSERT INTO ledger VALUES (6, 'accesses', zeroblob(32))");
    });
    REQUIRE(between->misfit);
    CHECK(between->misfit->seq == 6);
}

TEST_CASE("A bit flipped in any hash of the ledger is found and told from a changed row") {
    Tampered store;
    for (std::int64_t seq = 1; seq <= store.last_seq(); ++seq) {
        for (const int bit : {0, 100, 255}) {
            const auto verdict = store.verdict_after([&](SQLite::Database& database) {
                SQLite::Statement query(database, "SELECT hash FROM ledger WHERE seq = " + number(seq));
                query.executeStep();
                std::string hash = query.getColumn(0).getString();
                query.reset();
                const auto at = static_cast<std::size_t>(bit / 8);
                hash[at] = static_cast<char>(hash[at] ^ (1 << bit % 8));
                SQLite::Statement change(database, "UPDATE ledger SET hash = ? WHERE seq = " + number(seq));
                change.bind(1, hash.data(), static_cast<int>(hash.size()));
                change.exec();
            });
            REQUIRE(verdict->misfit);
            CHECK(verdict->misfit->seq == seq);
            // Nothing comes after the last one that could tell which of the two was changed.
            if (seq < store.last_seq()) CHECK(verdict->misfit->cause == MisfitCause::kHashChanged);
        }
        CHECK(store
                  .verdict_after([&](SQLite::Database& database) {
                      database.exec("UPDATE ledger SET hash = x'00' WHERE seq = " + number(seq));
                  })
                  ->misfit);
        CHECK(store
                  .verdict_after([&](SQLite::Database& database) {
                      database.exec("UPDATE ledger SET kind = 'strays' WHERE seq = " + number(seq));
                  })
                  ->misfit);
    }
}

TEST_CASE("One who makes all hashes anew after a change is found by the signatures") {
    Tampered store;
    for (const Place& place : store.places()) {
        if (place.null || place.column == "seq") continue;
        INFO(words_of(place));
        bool flipped = false;
        const auto verdict = store.verdict_after([&](SQLite::Database& database) {
            flipped = flip(database, place, 3);
            chain_anew(database);
        });
        if (!verdict || !flipped) continue;
        const bool after_the_head = place.seq == store.last_seq();
        const bool only_said = place.table == "heads" && place.column == "why" && after_the_head;
        if (only_said) { // the tail: what the last head's own record says beside what is signed
            CHECK_FALSE(verdict->misfit);
            continue;
        }
        REQUIRE(verdict->misfit);
        const bool of_a_signature = verdict->misfit->cause == MisfitCause::kWrongSignature ||
                                    verdict->misfit->cause == MisfitCause::kUnknownKey;
        CHECK(of_a_signature);
    }
}

TEST_CASE("A history written anew with another key is found by who has the station's public key") {
    const TestFolder temp;
    SignedStore real(temp.path());
    real.fill();
    const TestFolder elsewhere;
    SignedStore forged(elsewhere.path());
    forged.fill();
    const LedgerTrust trust{real.signer->key().public_key()};
    CHECK(checked(real.file, trust).head);
    CHECK_FALSE(checked(forged.file).misfit); // the known limit: by itself it is whole
    CHECK_FALSE(checked(forged.file, trust).head);
    // Naming the station's key among the records, with no signature by it, is no help.
    forged.store.change([&](SQLite::Database& database) {
        add_record(database, "keys", "key_id, public_key, since_utc_ns, replaces, proof",
                   "'" + real.signer->key().id() + "', '" + real.signer->key().public_key() + "', 5, '" +
                       forged.signer->key().id() + "', '" +
                       forged.signer->key().sign(key_proof_bytes(real.signer->key().public_key(), 5)) + "'");
    });
    CHECK_FALSE(checked(forged.file).misfit);
    CHECK_FALSE(checked(forged.file, trust).head);
}

TEST_CASE("Triggers that were taken out are told of, though every record fits") {
    Tampered store;
    const LedgerVerdict verdict = check_store(store.database());
    CHECK_FALSE(verdict.misfit);
    REQUIRE(verdict.notes.size() == 1);
    CHECK(verdict.notes[0].find("Triggers") != std::string::npos);
}

TEST_CASE("A table that was taken out is found") {
    Tampered store;
    const auto verdict =
        store.verdict_after([](SQLite::Database& database) { database.exec("DROP TABLE noises"); });
    REQUIRE(verdict->misfit);
    CHECK(verdict->misfit->cause == MisfitCause::kEntryWithoutRow);
    CHECK(verdict->misfit->kind == "noises");
}
