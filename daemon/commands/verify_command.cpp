#include "daemon/commands/verify_command.h"

#include <SQLiteCpp/Transaction.h>
#include <fmt/format.h>

#include <chrono>
#include <fstream>
#include <memory>

#include "classifiers/one_line.h"
#include "daemon/bundles/verify_bundle.h"
#include "daemon/commands/code_check.h"
#include "daemon/failure.h"
#include "daemon/ledger/ed25519.h"
#include "daemon/ledger/ledger_file.h"
#include "daemon/ledger/store_check.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/utc_text.h"

namespace quietpass {
namespace {

struct VerifyOptions {
    std::string out;
    std::string ledger;
    std::string bundle;
    std::string code;
    std::string public_key;
};

std::filesystem::path store_in(const std::filesystem::path& out) {
    if (!std::filesystem::is_directory(out)) return out;
    const bool scored =
        !std::filesystem::exists(out / "records.db") && std::filesystem::exists(out / "shift.db");
    return out / (scored ? "shift.db" : "records.db");
}

LedgerVerdict verdict_of_store(const std::filesystem::path& file, const LedgerTrust& trust) {
    const auto database = open_for_reading(file);
    check_version(*database, file);
    const SQLite::Transaction snapshot(*database);
    try {
        return check_store(*database, trust);
    } catch (const SQLite::Exception& error) {
        throw Failure(kExitFailure, "record store " + file.string() + ": can't be read to its end (" +
                                        error.what() + "); restore a backup");
    }
}

LedgerVerdict verdict_of_file(const std::filesystem::path& file, const LedgerTrust& trust) {
    std::ifstream in(file, std::ios::binary);
    if (!in)
        throw Failure(kExitUsage, "verify: --ledger " + file.string() + ": can't be read; check the path");
    return check_ledger_file(in, trust);
}

// How far a signature goes, and what lies after it.
std::string words_of_head(const LedgerVerdict& verdict, const LedgerTrust& trust, const std::string& what) {
    if (!verdict.head) {
        if (!trust.public_key.empty()) {
            throw Failure(kExitFailure,
                          what + ": each record fits the one before it, but none is signed by key " +
                              key_id_of(trust.public_key) +
                              " or by one that it vouches for; ask whose records these are");
        }
        return "None is signed yet: whoever can write there could make all of them anew.\n";
    }
    std::string text = fmt::format("Signed up to record {} by key {}, {}.\n", verdict.head->of_seq,
                                   verdict.head->key_id, utc_text(verdict.head->utc_ns));
    const std::int64_t after = verdict.last_seq - verdict.head->of_seq - 1; // its own record is known
    if (after > 0) {
        text += fmt::format("The {} after it, up to record {}, {} not signed yet.\n",
                            after == 1 ? "one record" : fmt::format("{} records", after), verdict.last_seq,
                            after == 1 ? "is" : "are");
    }
    if (trust.public_key.empty())
        text += "Whether that key is the station's, --public-key tells: get it from the plant.\n";
    return text;
}

void verify_records(const VerifyOptions& options) {
    const LedgerTrust trust{options.public_key};
    const std::string what = options.ledger.empty() ? store_in(options.out).string() : options.ledger;
    const auto start = std::chrono::steady_clock::now();
    const LedgerVerdict verdict =
        options.ledger.empty() ? verdict_of_store(what, trust) : verdict_of_file(what, trust);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    if (verdict.misfit) {
        throw Failure(kExitFailure,
                      what + ": " + words_of(*verdict.misfit) +
                          (verdict.records > 0 ? fmt::format("; records {} to {} before it fit",
                                                             verdict.first_seq, verdict.last_seq)
                                               : ""));
    }
    std::string text = what + "\n";
    text += verdict.records == 0 ? "There are no records yet.\n"
                                 : fmt::format("Records {} to {}: each fits the one before it.\n",
                                               verdict.first_seq, verdict.last_seq);
    if (verdict.records > 0) text += words_of_head(verdict, trust, what);
    for (const std::string& note : verdict.notes) text += in_one_line(note) + "\n";
    if (took.count() >= 1.0)
        text +=
            fmt::format("({:.0f} records a second)\n", static_cast<double>(verdict.records) / took.count());
    std::fputs(text.c_str(), stdout);
}

void verify(const VerifyOptions& options) {
    if (!options.public_key.empty() && key_id_of(options.public_key).empty()) {
        throw Failure(
            kExitUsage,
            "verify: --public-key: expected 64 digits 0-9 a-f, as `quietpass key show` prints them");
    }
    if (!options.code.empty()) {
        std::fputs(
            check_code(options.code, options.out.empty() ? "" : store_in(options.out), options.public_key)
                .c_str(),
            stdout);
        return;
    }
    if (!options.bundle.empty()) {
        std::fputs(verify_bundle(options.bundle, options.public_key).c_str(), stdout);
        return;
    }
    if (options.out.empty() == options.ledger.empty())
        throw Failure(kExitUsage,
                      "verify: give --out DIR for a store, or --ledger FILE for an exported ledger");
    verify_records(options);
}

} // namespace

void add_verify(CLI::App& app) {
    const auto options = std::make_shared<VerifyOptions>();
    CLI::App* command = app.add_subcommand("verify", "Check that records are as they were written");
    command->add_option("--out,--records", options->out,
                        "Folder that `run` or `score` wrote to, or a\nstore's file");
    CLI::Option* ledger = command->add_option("--ledger", options->ledger, "An exported ledger.tsv");
    CLI::Option* bundle = command->add_option("--bundle", options->bundle, "A case that was exported (ZIP)");
    bundle->excludes(ledger);
    command->add_option("--code", options->code, "The code on a paper report, QUIETPASS1 and\nfive words")
        ->excludes(ledger)
        ->excludes(bundle);
    command->add_option("--public-key", options->public_key,
                        "The station's, from elsewhere: only what it\nsigned counts");
    command->footer(
        "Exit 1 names the first record that doesn't fit and why. A daemon may go on\n"
        "writing meanwhile. daemon/ledger/FORMATS.md says what is checked and what no\n"
        "check can find.");
    command->callback([options] { verify(*options); });
}

} // namespace quietpass
