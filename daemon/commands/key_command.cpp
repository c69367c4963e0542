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
#include "daemon/records/utc_text.h"

namespace quietpass {
namespace {

struct KeyOptions {
    std::string out;
    std::string key_file;
    bool json = false;
    bool lost = false;
};

void show_keys(const KeyOptions& options) {
    const std::filesystem::path file = std::filesystem::path(options.out) / "records.db";
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

void rotate_key(const KeyOptions& options) {
    const std::filesystem::path out = options.out;
    const std::filesystem::path file = out / "records.db";
    if (!std::filesystem::exists(file)) {
        throw Failure(kExitUsage, "key rotate: " + file.string() +
                                      " is not there; give the folder that `quietpass run --out` writes to");
    }
    const std::filesystem::path key_file =
        options.key_file.empty() ? out / "key" / "station.key" : std::filesystem::path(options.key_file);
    Store store(file);
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
    rotate->add_option("--key-file", options->key_file,
                       "The station file's [records] key_file, where it\nhas one");
    rotate->add_flag("--lost", options->lost, "The present key is gone and can't vouch");
    rotate->footer("A daemon that runs goes on with the new key.");
    rotate->callback([options] { rotate_key(*options); });
}

} // namespace quietpass
