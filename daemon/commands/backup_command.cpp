#include "daemon/commands/backup_command.h"

#include <memory>
#include <utility>
#include <vector>

#include "daemon/commands/backup_company.h"
#include "daemon/commands/records_options.h"
#include "daemon/commands/run_lock.h"
#include "daemon/failure.h"
#include "daemon/records/files.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/store_restore.h"

namespace quietpass {
namespace {

struct BackupOptions {
    std::string out;
    std::string file;
    bool lose_newer = false;
    bool accounts = false;
};

void say(const std::vector<std::string>& lines) {
    Statement statement;
    Section section{"", "", {}, lines};
    statement.sections.push_back(section);
    print(statement, Output::kText);
}

void back_up(const BackupOptions& options) {
    const std::filesystem::path store = std::filesystem::path(options.out) / "records.db";
    { const auto there = open_for_reading(store); }
    if (std::filesystem::exists(options.file))
        throw Failure(kExitUsage, "backup: --to " + options.file + ": is there already; give another name");
    try {
        const std::vector<std::string> beside = back_up_company(options.out, options.file);
        copy_store(store, options.file, check_whole_ledger);
        std::vector<std::string> lines = {options.file + ": whole, its ledger fits."};
        lines.insert(lines.end(), beside.begin(), beside.end());
        lines.push_back(
            "The key is not in it, nor are clips, nor the secrets beside the station file: keep copies of "
            "the key's file and of those elsewhere.");
        say(lines);
    } catch (...) {
        remove_company(options.file);
        throw;
    }
}

void restore(const BackupOptions& options) {
    { const auto there = open_for_reading(options.file); }
    RealFiles files;
    prepare_output_folder(files, options.out);
    const RunLock lock(options.out);
    const std::filesystem::path store = std::filesystem::path(options.out) / "records.db";
    const Restored restored = restore_store(options.file, store, options.lose_newer, check_whole_ledger);
    std::vector<std::string> lines = {store.string() + " is restored: whole, its ledger fits."};
    if (!restored.put_aside.empty())
        lines.push_back("What was there is " + restored.put_aside.string() + ".");
    for (std::string& line : restore_company(options.file, options.out, options.accounts))
        lines.push_back(std::move(line));
    for (std::string& line : still_needed(options.out)) lines.push_back(std::move(line));
    say(lines);
}

} // namespace

void add_backup(CLI::App& app) {
    const auto options = std::make_shared<BackupOptions>();
    CLI::App* command = app.add_subcommand(
        "backup", "Copy the record store, verified, while it is used,\nwith accounts and calibrations");
    command->add_option("--out", options->out, "Folder of the records")->required();
    command->add_option("--to", options->file, "File to make; it is there when it is verified,\nnot before")
        ->required();
    command->callback([options] { back_up(*options); });
}

void add_restore(CLI::App& app) {
    const auto options = std::make_shared<BackupOptions>();
    CLI::App* command = app.add_subcommand("restore", "Put a backup in the place of the record store");
    command->add_option("--from", options->file, "The backup")->required();
    command->add_option("--out", options->out, "Folder of the records")->required();
    command->add_flag("--lose-newer", options->lose_newer,
                      "Also when the store has records that the\nbackup lacks, or can't be read");
    command->add_flag("--accounts", options->accounts,
                      "Take the backup's accounts of the page also\nwhere there are some");
    command->footer(
        "The backup is verified first. The store that was there is kept beside it under\n"
        "another name. Not while a daemon runs on the folder. Accounts and calibrations\n"
        "come back where there are none.");
    command->callback([options] { restore(*options); });
}

} // namespace quietpass
