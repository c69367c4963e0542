#include "daemon/commands/key_command.h"

#include <SQLiteCpp/Statement.h>
#include <SQLiteCpp/Transaction.h>
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "daemon/clock.h"
#include "daemon/failure.h"
#include "daemon/ledger/head_signer.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/store.h"
#include "daemon/records/store_place.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/key_file.h"
#include "daemon/settings/station_file.h"

namespace quietpass {
namespace {

struct KeyOptions {
    std::string out;
    std::string key_file;
    std::string station;
    bool json = false;
    bool lost = false;
};

void show_keys(const KeyOptions& options) {
    const std::filesystem::path file = store_in("key", options.out);
    const auto database = open_for_reading(file);
    check_version(*database, file);
    SQLite::Statement query(
        *database,
        "SELECT key_id, public_key, since_utc_ns, coalesce(replaces, ''), proof IS NOT NULL "
        "FROM keys ORDER BY seq");
    nlohmann::ordered_json keys = nlohmann::ordered_json::array();
    std::string text;
    while (query.executeStep()) {
        const std::string id = query.getColumn(0).getString();
        const std::string public_key = query.getColumn(1).getString();
        const std::string since = utc_text(query.getColumn(2).getInt64());
        const std::string replaces = query.getColumn(3).getString();
        const bool vouched = query.getColumn(4).getInt() != 0;
        keys.push_back({{"key_id", id}, {"public_key", public_key}, {"since", since}});
        keys.back()["replaces"] = nullptr;
        keys.back()["vouched"] = nullptr;
        if (!replaces.empty()) {
            keys.back()["replaces"] = replaces;
            keys.back()["vouched"] = vouched;
        }
        text += fmt::format("key {}, since {}\n", id, since);
        if (!replaces.empty())
            text += fmt::format("  in place of {}, {}\n", replaces,
                                vouched ? "which vouches for it" : "which was lost and doesn't vouch for it");
        text += "  public key " + public_key + "\n";
    }
    if (keys.empty()) text = "There is no key yet; the first `quietpass run` makes one.\n";
    std::fputs(options.json ? (keys.dump(2) + "\n").c_str() : text.c_str(), stdout);
}

// What the last station file that a run recorded says of [records] key_file; empty: nothing.
std::string recorded_key_file(Store& store) {
    std::string text;
    store.read([&](SQLite::Database& database) {
        SQLite::Statement query(
            database, "SELECT text FROM documents WHERE kind = 'station_file' ORDER BY seq DESC LIMIT 1");
        if (query.executeStep()) text = query.getColumn(0).getString();
    });
    return key_file_in(text);
}

std::filesystem::path key_to_rotate(const KeyOptions& options, Store& store) {
    if (!options.key_file.empty()) return options.key_file;
    if (!options.station.empty()) return key_file_of(read_station_file(options.station), options.out);
    const std::filesystem::path recorded = recorded_key_file(store);
    if (recorded.is_absolute()) return recorded;
    if (!recorded.empty()) {
        throw Failure(kExitUsage, "key rotate: the station file of the last run has key_file = \"" +
                                      recorded.string() +
                                      "\", beside itself; give that file with --station FILE, or the key's "
                                      "with --key-file");
    }
    const std::filesystem::path usual = std::filesystem::path(options.out) / "key" / "station.key";
    std::error_code ignored;
    if (!options.lost && !std::filesystem::exists(usual, ignored)) {
        throw Failure(kExitUsage,
                      "key rotate: " + usual.string() +
                          " is not there; give the station file that names the key with --station "
                          "FILE, the key's file with --key-file, or --lost when it is gone");
    }
    return usual;
}

void rotate_key(const KeyOptions& options) {
    const std::filesystem::path out = options.out;
    const std::filesystem::path file = out / "records.db";
    if (!std::filesystem::exists(file)) {
        throw Failure(kExitUsage, "key rotate: " + file.string() +
                                      " is not there; give the folder that `quietpass run --out` writes to");
    }
    Store store(file);
    const std::filesystem::path key_file = key_to_rotate(options, store);
    const RealClock clock;
    std::optional<StationKey> key;
    store.change([&](SQLite::Database& database) {
        key = rotate_station_key(database, key_file, clock, options.lost);
    });
    finish_rotation(key_file);
    std::fputs(
        fmt::format(
            "Key {} signs from now on; its file is {}.\n  public key {}\nPut a copy of the file where the "
            "plant keeps its keys, and give the public key to\nthose who check your records.\n",
            key->id(), key_file.string(), key->public_key())
            .c_str(),
        stdout);
}

} // namespace

void add_key(CLI::App& app) {
    const auto options = std::make_shared<KeyOptions>();
    CLI::App* key = app.add_subcommand("key", "Show or change the key that signs the records");
    key->require_subcommand(1);
    CLI::App* show = key->add_subcommand("show", "The station's keys, the last one in force");
    show->add_option("--out", options->out, "Folder of the records")->required();
    show->add_flag("--json", options->json, "As JSON");
    show->callback([options] { show_keys(*options); });
    CLI::App* rotate = key->add_subcommand("rotate", "Make a new key; the present one vouches for it");
    rotate->add_option("--out", options->out, "Folder of the records")->required();
    CLI::Option* station =
        rotate->add_option("--station", options->station,
                           "Station file: its [records] key_file is the key's,\nwhere it has one");
    rotate->add_option("--key-file", options->key_file, "The key's file")->excludes(station);
    rotate->add_flag("--lost", options->lost, "The present key is gone and can't vouch");
    rotate->footer(
        "Without --station and --key-file the key is where the station file of the last\n"
        "run has it, else OUT/key/station.key. A daemon that runs goes on with the new key.");
    rotate->callback([options] { rotate_key(*options); });
}

} // namespace quietpass
