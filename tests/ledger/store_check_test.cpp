// A store whose records fit is called whole, with how far it is signed; keys that change hands are followed.
#include "daemon/ledger/store_check.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "daemon/failure.h"
#include "daemon/ledger/evidence_tables.h"
#include "daemon/ledger/signed_head.h"
#include "tests/ledger/signed_store.h"
#include "tests/test_folder.h"

using namespace quietpass;

TEST_CASE("A whole store is found whole, and signed up to its last head") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    const LedgerVerdict verdict = checked(made.file);
    CHECK_FALSE(verdict.misfit);
    CHECK(verdict.records == static_cast<std::uint64_t>(verdict.last_seq));
    CHECK(verdict.notes.empty());
    REQUIRE(verdict.head);
    CHECK(verdict.head->of_seq == verdict.last_seq - 1); // the head's own record is after it
    CHECK(verdict.head->key_id == made.signer->key().id());
    REQUIRE(verdict.keys.size() == 1);

    made.store.write(std::vector<StoreRow>{sample_shift(2), passage_row(2, 1)});
    const LedgerVerdict later = checked(made.file);
    CHECK_FALSE(later.misfit);
    CHECK(later.last_seq == verdict.last_seq + 2);
    CHECK(later.head->of_seq == verdict.head->of_seq);
}

TEST_CASE("The made store has a record of every kind of evidence") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    SQLite::Database database(made.file.string());
    CHECK(database.execAndGet("SELECT count(DISTINCT kind) FROM ledger").getInt() ==
          static_cast<int>(kEvidenceTables.size()));
}

TEST_CASE("A shift's record, the head over it and the head's record come in one transaction") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.store.write(std::vector<StoreRow>{sample_shift(1)});
    made.store.write(std::vector<StoreRow>{ShiftClosed{1, 9.0, {}, "{}\n"}});
    made.store.write(std::vector<StoreRow>{ShiftClosed{1, 9.0, {}, "{}\n"}}); // again: nothing new, no head
    SQLite::Database database(made.file.string());
    CHECK(database.execAndGet("SELECT group_concat(seq || kind) FROM ledger").getString() ==
          "1keys,2heads,3shifts,4shift_records,5heads");
    CHECK(database.execAndGet("SELECT why FROM heads WHERE of_seq = 4").getString() == "shift");
    // Where the transaction fails there is neither.
    database.exec("PRAGMA busy_timeout = 0");
    made.store.write(std::vector<StoreRow>{sample_shift(2)});
    CHECK_THROWS_AS(made.store.write(std::vector<StoreRow>{ShiftClosed{2, 9.0, {}, "{}\n"},
                                                           ShiftClosed{99, 9.0, {}, "{}\n"}}),
                    StoreError);
    CHECK(database.execAndGet("SELECT count(*) FROM shift_records").getInt() == 1);
    CHECK(database.execAndGet("SELECT count(*) FROM heads WHERE why = 'shift'").getInt() == 1);
    CHECK_FALSE(checked(made.file).misfit);
}

TEST_CASE("A key that takes over is vouched for by the one before it, and the daemon goes on with it") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    const std::string first = made.signer->key().public_key();
    made.store.change(
        [&](SQLite::Database& database) { rotate_station_key(database, made.key_file, made.clock, false); });
    // The daemon signs before the file is in place: it finds the new key where it waits.
    made.store.write(std::vector<StoreRow>{SignHead{"day"}});
    finish_rotation(made.key_file);
    made.store.write(std::vector<StoreRow>{SignHead{"stop"}});
    CHECK(made.trouble.empty());
    const std::string second = made.signer->key().public_key();
    CHECK(second != first);
    CHECK(StationKey::load(made.key_file).public_key() == second);
    for (const std::string& trusted : {std::string(), first, second}) {
        INFO(trusted);
        const LedgerVerdict verdict = checked(made.file, {trusted});
        CHECK_FALSE(verdict.misfit);
        CHECK(verdict.notes.empty());
        CHECK(verdict.keys.size() == 2);
        REQUIRE(verdict.head);
        CHECK(verdict.head->of_seq == verdict.last_seq - 1);
    }
    const LedgerVerdict strange = checked(made.file, {std::string(64, '7')});
    CHECK_FALSE(strange.misfit);
    CHECK_FALSE(strange.head); // nothing that this reader trusts
}

TEST_CASE("A key that was lost is replaced with a note, and the old one vouches for nothing after it") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.fill();
    const std::string first = made.signer->key().public_key();
    std::filesystem::remove(made.key_file);
    const auto open = [&](SQLite::Database& database) {
        open_station_key(database, made.key_file, made.clock);
    };
    CHECK_THROWS_WITH(made.store.change(open), Catch::Contains("rotate --lost"));
    made.store.change(
        [&](SQLite::Database& database) { rotate_station_key(database, made.key_file, made.clock, true); });
    finish_rotation(made.key_file);
    made.store.change(open);
    const LedgerVerdict verdict = checked(made.file);
    CHECK_FALSE(verdict.misfit);
    REQUIRE(verdict.notes.size() == 1);
    CHECK(verdict.notes[0].find("lost") != std::string::npos);
    CHECK(verdict.head->of_seq == verdict.last_seq - 1);
    CHECK(checked(made.file, {first}).head->of_seq < verdict.head->of_seq);
}

TEST_CASE("A rotation that was stopped on the way is finished, or had not begun") {
    const TestFolder temp;
    SignedStore made(temp.path());
    const std::string first = made.signer->key().id();
    const auto rotate = [&](SQLite::Database& database) {
        rotate_station_key(database, made.key_file, made.clock, false);
    };
    const auto open = [&](SQLite::Database& database) {
        open_station_key(database, made.key_file, made.clock);
    };
    // Stopped before its commit: the new key was made and nobody knows it.
    CHECK_THROWS_AS(made.store.change([&](SQLite::Database& database) {
        rotate(database);
        throw std::runtime_error("killed");
    }),
                    std::runtime_error);
    made.store.change(open);
    CHECK(StationKey::load(made.key_file).id() == first);
    // Stopped after it: the file is not in its place yet.
    made.store.change(rotate);
    made.store.change(open);
    CHECK(StationKey::load(made.key_file).id() != first);
    CHECK_FALSE(checked(made.file).misfit);
}

TEST_CASE("Records go on without a signature while the key in force is not to be had, and it is said") {
    const TestFolder temp;
    SignedStore made(temp.path());
    made.store.change(
        [&](SQLite::Database& database) { rotate_station_key(database, made.key_file, made.clock, false); });
    std::filesystem::rename(made.key_file.string() + ".next", temp / "elsewhere");
    made.store.write(std::vector<StoreRow>{sample_shift(1), ShiftClosed{1, 9.0, {}, "{}\n"}});
    CHECK(made.trouble.find("not signed") != std::string::npos);
    std::filesystem::rename(temp / "elsewhere", made.key_file.string() + ".next");
    made.store.write(std::vector<StoreRow>{SignHead{"day"}});
    const LedgerVerdict verdict = checked(made.file);
    CHECK_FALSE(verdict.misfit);
    CHECK(verdict.head->of_seq == verdict.last_seq - 1);
}

TEST_CASE("A key file that others can reach, or that is none, is refused in one line without its contents") {
    const TestFolder temp;
    const std::filesystem::path file = temp / "key/station.key";
    const std::string id = StationKey::make(file).id();
    CHECK(StationKey::load(file).id() == id);
    CHECK_THROWS_AS(StationKey::make(file), Failure); // never over another
    const auto refused = [&](const std::string& said) {
        try {
            StationKey::load(file);
            FAIL("it was taken");
        } catch (const Failure& failure) {
            const std::string line = failure.what();
            INFO(line);
            CHECK(line.find(said) != std::string::npos);
            CHECK(line.find('\n') == std::string::npos);
            CHECK(line.find("quietpass-station-key-1") == std::string::npos);
        }
    };
    using std::filesystem::perms;
    CHECK(std::filesystem::status(file).permissions() == (perms::owner_read | perms::owner_write));
    CHECK(std::filesystem::status(temp / "key").permissions() == perms::owner_all);
    std::filesystem::permissions(file, perms::group_read, std::filesystem::perm_options::add);
    refused("chmod 600");
    std::filesystem::permissions(file, perms::group_read, std::filesystem::perm_options::remove);
    std::filesystem::permissions(temp / "key", perms::others_exec, std::filesystem::perm_options::add);
    refused("chmod 700");
    std::filesystem::permissions(temp / "key", perms::others_exec, std::filesystem::perm_options::remove);
    std::ofstream(file) << "quietpass-station-key-1 0123\n";
    refused("is no key file");
    std::filesystem::remove(file);
    refused("can't be read");
}

TEST_CASE("The code that paper carries comes back from text, however it was broken into lines") {
    SignedHead head;
    head.of_seq = 123456;
    head.hash = next_hash(kChainStart, "x");
    head.utc_ns = 1772946000000000000;
    head.key_id = "0123456789abcdef";
    head.signature = std::string(128, 'a');
    const std::string code = code_of(head);
    std::string broken = code;
    for (char& letter : broken) letter = letter == ' ' ? '\n' : letter;
    for (const std::string& text : {code, broken, "  " + code + "\n"}) {
        const auto read = head_from_code(text);
        REQUIRE(read);
        CHECK(code_of(*read) == code);
    }
    for (const std::string& text :
         {std::string(), code.substr(1), code + " x", code.substr(0, code.size() - 1), code + "a"}) {
        CHECK_FALSE(head_from_code(text));
    }
}
