// `verify`, `key`, `backup` and `restore` as a plant uses them, on real stores.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "daemon/commands/run_lock.h"
#include "daemon/ledger/ledger_file.h"
#include "daemon/records/document_rows.h"
#include "daemon/web/people.h"
#include "tests/end_to_end/program.h"
#include "tests/end_to_end/small_disk.h"
#include "tests/ledger/signed_store.h"

using namespace quietpass;
using quietpass::test::lines_of;
using quietpass::test::Outcome;
using quietpass::test::run_program;
using quietpass::test::SmallDisk;

namespace {

Outcome quietpass_does(std::vector<std::string> words) {
    words.insert(words.begin(), quietpass::test::quietpass_program());
    return run_program(words);
}

void check_fails(const Outcome& outcome, int exit_code, const std::string& said) {
    INFO(outcome.err);
    CHECK(outcome.exit_code == exit_code);
    CHECK(outcome.err.find(said) != std::string::npos);
    CHECK(lines_of(outcome.err).size() == 1);
    CHECK(outcome.out.empty());
}

// A folder of records as `run` leaves it.
struct SignedPlant {
    SignedPlant() : made(folder.path()) { made.fill(); }
    std::string out() const { return folder.path().string(); }
    std::string code() const {
        SQLite::Database database(made.file.string());
        SQLite::Statement query(
            database, "SELECT of_seq, hash, utc_ns, key_id, signature FROM heads WHERE why = 'shift'");
        REQUIRE(query.executeStep());
        std::string code = "QUIETPASS1";
        for (int i = 0; i < 5; ++i) code += " " + query.getColumn(i).getString();
        return code;
    }
    void tamper(const std::string& sql) const {
        SQLite::Database database(made.file.string(), SQLite::OPEN_READWRITE);
        drop_triggers(database);
        database.exec(sql);
    }

    TestFolder folder;
    SignedStore made;
};

} // namespace

TEST_CASE("verify says how far records fit and are signed, and by which key") {
    const SignedPlant plant;
    const Outcome whole = quietpass_does({"verify", "--out", plant.out()});
    INFO(whole.out << whole.err);
    CHECK(whole.exit_code == 0);
    CHECK(whole.out.find("each fits the one before it") != std::string::npos);
    CHECK(whole.out.find("by key " + plant.made.signer->key().id()) != std::string::npos);
    CHECK(whole.out.find("not signed yet") == std::string::npos);
    for (const std::string& line : lines_of(whole.out)) CHECK(line.size() <= 80);

    CHECK(quietpass_does(
              {"verify", "--out", plant.out(), "--public-key", plant.made.signer->key().public_key()})
              .exit_code == 0);
    check_fails(quietpass_does({"verify", "--out", plant.out(), "--public-key", std::string(64, '1')}), 1,
                "none is signed by key");
    check_fails(quietpass_does({"verify", "--out", plant.out(), "--public-key", "12"}), 2, "64 digits");
    check_fails(quietpass_does({"verify"}), 2, "--out DIR");
    check_fails(quietpass_does({"verify", "--out", plant.out() + "/nothing"}), 2, "no record store");
}

TEST_CASE("verify names the first record that doesn't fit") {
    const SignedPlant plant;
    plant.tamper("UPDATE passages SET vocal = 1 - vocal WHERE passage_id = 2");
    check_fails(quietpass_does({"verify", "--out", plant.out()}), 1,
                "(passages): changed: the row is not what was recorded");
}

TEST_CASE("verify reads a store that can't be written, and leaves one of before as it is") {
    const SignedPlant plant;
    const std::filesystem::path copy = plant.folder / "copy.db";
    REQUIRE(quietpass_does({"backup", "--out", plant.out(), "--to", copy.string()}).exit_code == 0);
    std::filesystem::permissions(copy, std::filesystem::perms::owner_read);
    CHECK(quietpass_does({"verify", "--out", copy.string()}).exit_code == 0);

    const std::filesystem::path old = plant.folder / "old.db";
    {
        SQLite::Database database(old.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
        database.exec(
            "CREATE TABLE meta (key TEXT, value TEXT); INSERT INTO meta VALUES ('schema_version', '3')");
    }
    const auto bytes = quietpass::test::text_of(old);
    check_fails(quietpass_does({"verify", "--out", old.string()}), 1, "schema version 3");
    CHECK(quietpass::test::text_of(old) == bytes);
}

TEST_CASE("verify checks an exported ledger, and a code on paper with and without the store") {
    SignedPlant plant;
    const std::filesystem::path ledger = plant.folder / "ledger.tsv";
    plant.made.store.read([&](SQLite::Database& database) {
        std::ofstream out(ledger, std::ios::binary);
        write_ledger_file(database, 5, *head_record_covering(database, 5), out);
    });
    const Outcome exported = quietpass_does({"verify", "--ledger", ledger.string()});
    INFO(exported.err);
    CHECK(exported.exit_code == 0);
    CHECK(exported.out.find("Records 5 to ") != std::string::npos);

    const std::string code = plant.code();
    const std::string key = plant.made.signer->key().public_key();
    const Outcome paper = quietpass_does({"verify", "--code", code, "--out", plant.out()});
    INFO(paper.err);
    CHECK(paper.exit_code == 0);
    CHECK(paper.out.find("Compare these with the paper") != std::string::npos);
    CHECK(quietpass_does({"verify", "--code", code, "--public-key", key}).exit_code == 0);
    check_fails(quietpass_does({"verify", "--code", code, "--public-key", std::string(64, '1')}), 1,
                "signed by key");
    check_fails(quietpass_does({"verify", "--code", code.substr(0, 60), "--out", plant.out()}), 2,
                "no whole code");
    std::string other = code;
    other.back() = other.back() == 'a' ? 'b' : 'a';
    check_fails(quietpass_does({"verify", "--code", other, "--out", plant.out()}), 1, "did not sign it");

    const SignedPlant another;
    check_fails(quietpass_does({"verify", "--code", code, "--out", another.out()}), 1,
                "none of this store's");
    plant.tamper("UPDATE shift_records SET record_json = '{}'");
    check_fails(quietpass_does({"verify", "--code", code, "--out", plant.out()}), 1,
                "is not what was signed");
}

TEST_CASE("key shows the station's keys, and a new one takes over while the store is open") {
    SignedPlant plant;
    const std::string first = plant.made.signer->key().public_key();
    CHECK(quietpass_does({"key", "show", "--out", plant.out()}).out.find(first) != std::string::npos);
    const Outcome rotated = quietpass_does({"key", "rotate", "--out", plant.out()});
    INFO(rotated.err);
    REQUIRE(rotated.exit_code == 0);
    plant.made.store.write(std::vector<StoreRow>{SignHead{"day"}}); // as a daemon that runs does
    CHECK(plant.made.trouble.empty());
    CHECK(quietpass_does({"key", "show", "--out", plant.out()}).out.find("vouches for it") !=
          std::string::npos);
    CHECK(quietpass_does({"verify", "--out", plant.out(), "--public-key", first}).exit_code == 0);
    std::filesystem::permissions(plant.made.key_file, std::filesystem::perms::others_read,
                                 std::filesystem::perm_options::add);
    check_fails(quietpass_does({"key", "rotate", "--out", plant.out()}), 2, "chmod 600");
}

TEST_CASE("key rotate finds the key where the station file has it, or says in one line what to give") {
    SignedPlant plant;
    const std::filesystem::path vault = plant.folder / "vault";
    std::filesystem::rename(plant.made.key_file.parent_path(), vault);
    const std::string key = (vault / "station.key").string();
    const auto rotate = [&](std::vector<std::string> more) {
        std::vector<std::string> words = {"key", "rotate", "--out", plant.out()};
        words.insert(words.end(), more.begin(), more.end());
        return quietpass_does(words);
    };
    check_fails(rotate({}), 2, "--station FILE");

    std::string station = quietpass::test::text_of(quietpass::test::testdata() / "demo/station.toml");
    station += "\n[records]\nkey_file = \"vault/station.key\"\n";
    quietpass::test::write_text(plant.folder / "station.toml", station);
    CHECK(rotate({"--station", (plant.folder / "station.toml").string()}).exit_code == 0);
    CHECK(rotate({"--key-file", key}).exit_code == 0);

    // What the last run recorded of it.
    const auto record = [&](const std::string& key_file) {
        plant.made.store.change([&](SQLite::Database& database) {
            add_document(database,
                         {"station_file", "station.toml", "[records]\nkey_file = \"" + key_file + "\"\n"},
                         20);
        });
    };
    record("vault/station.key");
    for (const std::vector<std::string>& more :
         {std::vector<std::string>{}, std::vector<std::string>{"--lost"}})
        check_fails(rotate(more), 2, "key_file = \"vault/station.key\"");
    record(key);
    const Outcome found = rotate({});
    INFO(found.err);
    CHECK(found.exit_code == 0);
    CHECK(found.out.find(key) != std::string::npos);
    CHECK(quietpass_does({"verify", "--out", plant.out()}).exit_code == 0);
}

TEST_CASE(
    "Accounts and calibrations go with a backup, come back where none are, and are nobody else's to read") {
    SignedPlant plant;
    const auto add_user = [&](const std::string& name) {
        People(plant.folder.path()).add(name, PageRole::kReviewer, "hash of " + name, 5);
    };
    const auto users_in = [](const std::filesystem::path& out) {
        std::string names;
        for (const Account& account : People(out).all()) names += account.name + " ";
        return names;
    };
    add_user("anna");
    plant.folder.write("calibrations.csv", "calibrated_at,station\n");
    const std::string backup = (plant.folder / "backup.db").string();
    const Outcome made = quietpass_does({"backup", "--out", plant.out(), "--to", backup});
    INFO(made.out << made.err);
    REQUIRE(made.exit_code == 0);
    for (const std::string& line : lines_of(made.out)) CHECK(line.size() <= 80);
    using std::filesystem::perms;
    CHECK((std::filesystem::status(backup + ".users.db").permissions() &
           (perms::group_all | perms::others_all)) == perms::none);
    CHECK_FALSE(std::filesystem::exists(backup + ".key"));

    // Into an empty folder: all of it, and it is said that the key is missing.
    const TestFolder other;
    const Outcome moved = quietpass_does({"restore", "--from", backup, "--out", other.path().string()});
    INFO(moved.out << moved.err);
    REQUIRE(moved.exit_code == 0);
    CHECK(users_in(other.path()) == "anna ");
    CHECK(other.text("calibrations.csv") == "calibrated_at,station\n");
    CHECK(moved.out.find("key rotate --lost") != std::string::npos);
    for (const std::string& line : lines_of(moved.out)) CHECK(line.size() <= 80);
    CHECK((std::filesystem::status(other / "users.db").permissions() &
           (perms::group_all | perms::others_all)) == perms::none);
    CHECK(quietpass_does({"verify", "--out", other.path().string()}).exit_code == 0);

    // Where there are accounts they stay, unless told otherwise.
    People(plant.folder.path()).remove("anna");
    add_user("bert");
    REQUIRE(quietpass_does({"restore", "--from", backup, "--out", plant.out()}).exit_code == 0);
    CHECK(users_in(plant.folder.path()) == "bert ");
    REQUIRE(quietpass_does({"restore", "--from", backup, "--out", plant.out(), "--accounts"}).exit_code == 0);
    CHECK(users_in(plant.folder.path()) == "anna ");
    CHECK(std::filesystem::exists(plant.folder / "users.db.replaced-1"));

    // A backup that can't be finished leaves nothing.
    const std::string nowhere = (plant.folder / "no" / "backup.db").string();
    CHECK(quietpass_does({"backup", "--out", plant.out(), "--to", nowhere}).exit_code == 1);
    plant.tamper("UPDATE passages SET vocal = 1 - vocal WHERE passage_id = 2");
    const std::string bad = (plant.folder / "bad.db").string();
    CHECK(quietpass_does({"backup", "--out", plant.out(), "--to", bad}).exit_code == 1);
    CHECK_FALSE(std::filesystem::exists(bad));
    CHECK_FALSE(std::filesystem::exists(bad + ".users.db"));
}

TEST_CASE("verify reads an older store on a disk that is read-only, and accuses nobody of what came since") {
    const TestFolder folder;
    SmallDisk mounted(folder / "disk", 16);
    const std::filesystem::path file = folder / "disk" / "records.db";
    if (!mounted.there()) return;
    {
        SignedStore made(folder / "disk");
        made.store.write(std::vector<StoreRow>{sample_shift(1), passage_row(1, 1), SignHead{"day"}});
    }
    {
        // As a program made it that did not know this table yet.
        SQLite::Database database(file.string(), SQLite::OPEN_READWRITE);
        database.exec("DROP TABLE hand_audit_events");
        database.execAndGet("PRAGMA wal_checkpoint(TRUNCATE)");
    }
    if (!mounted.make_read_only()) return;
    const Outcome whole = quietpass_does({"verify", "--out", (folder / "disk").string()});
    INFO(whole.out << whole.err);
    CHECK(whole.exit_code == 0);
    CHECK(whole.out.find("each fits the one before it") != std::string::npos);
    CHECK(whole.out.find("Triggers") == std::string::npos);
}

TEST_CASE("A backup is whole or not there, and a restore loses nothing that it was not told to") {
    SignedPlant plant;
    const std::string backup = (plant.folder / "backup.db").string();
    REQUIRE(quietpass_does({"backup", "--out", plant.out(), "--to", backup}).exit_code == 0);
    CHECK(quietpass_does({"verify", "--out", backup}).exit_code == 0);
    check_fails(quietpass_does({"backup", "--out", plant.out(), "--to", backup}), 2, "is there already");

    // Nothing is lost: restored as it was.
    const Outcome same = quietpass_does({"restore", "--from", backup, "--out", plant.out()});
    INFO(same.err);
    CHECK(same.exit_code == 0);
    // A newer record would be.
    Store(plant.made.file).write(std::vector<StoreRow>{sample_shift(2)});
    check_fails(quietpass_does({"restore", "--from", backup, "--out", plant.out()}), 1, "has 1 records that");
    CHECK(Store(plant.made.file).shifts().size() == 2);
    {
        const RunLock daemon(plant.out());
        check_fails(quietpass_does({"restore", "--from", backup, "--out", plant.out(), "--lose-newer"}), 1,
                    "another quietpass run");
    }
    const Outcome told = quietpass_does({"restore", "--from", backup, "--out", plant.out(), "--lose-newer"});
    REQUIRE(told.exit_code == 0);
    CHECK(Store(plant.made.file).shifts().size() == 1);
    CHECK(quietpass_does({"verify", "--out", plant.out()}).exit_code == 0);
    CHECK(Store(plant.made.file.string() + ".replaced-2").shifts().size() == 2);

    // What doesn't fit is no backup, neither to make nor to restore.
    plant.tamper("UPDATE passages SET vocal = 1 - vocal WHERE passage_id = 2");
    const std::string bad = (plant.folder / "bad.db").string();
    check_fails(quietpass_does({"backup", "--out", plant.out(), "--to", bad}), 1, "changed");
    CHECK_FALSE(std::filesystem::exists(bad));
    CHECK_FALSE(std::filesystem::exists(bad + ".part"));
    std::filesystem::copy_file(plant.made.file, bad);
    const TestFolder empty;
    check_fails(quietpass_does({"restore", "--from", bad, "--out", empty.path().string()}), 1, "changed");
    CHECK_FALSE(std::filesystem::exists(empty / "records.db"));
    CHECK(quietpass_does({"restore", "--from", backup, "--out", empty.path().string()}).exit_code == 0);
    CHECK(Store(empty / "records.db").shifts().size() == 1);
}

TEST_CASE("run refuses a damaged store, a key open to others and a strange key before it listens") {
    const auto run = [](const std::filesystem::path& out) {
        return quietpass_does({"run", "--station",
                               (quietpass::test::testdata() / "demo/station.toml").string(), "--out",
                               out.string(), "--log", (out / "log").string()});
    };
    const SignedPlant plant;
    std::filesystem::permissions(plant.made.key_file, std::filesystem::perms::group_read,
                                 std::filesystem::perm_options::add);
    check_fails(run(plant.folder.path()), 2, "chmod 600");
    std::filesystem::remove(plant.made.key_file);
    check_fails(run(plant.folder.path()), 2, "key rotate --lost");
    StationKey::make(plant.made.key_file);
    check_fails(run(plant.folder.path()), 2, "the records are signed by key");

    const TestFolder damaged;
    {
        Store store(damaged / "records.db");
        std::vector<StoreRow> rows = {sample_shift(1)};
        for (int i = 1; i <= 500; ++i) rows.push_back(passage_row(1, i));
        store.write(rows);
    }
    {
        // The last pages are those of the passages: the store opens, and its check finds them.
        std::fstream file(damaged / "records.db", std::ios::binary | std::ios::in | std::ios::out);
        file.seekp(-20000, std::ios::end);
        file << std::string(12000, 'x');
    }
    const Outcome outcome = run(damaged.path());
    check_fails(outcome, 1, "quietpass restore --from");
}
