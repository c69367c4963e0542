#include "daemon/commands/backup_command.h"

#include <fmt/format.h>

#include <memory>

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
};

void back_up(const BackupOptions& options) {
    const std::filesystem::path store = std::filesystem::path(options.out) / "records.db";
    { const auto there = open_for_reading(store); }
    if (std::filesystem::exists(options.file))
        throw Failure(kExitUsage, "backup: --to " + options.file + ": is there already; give another name");
    copy_store(store, options.file, check_whole_ledger);
    std::fputs(
        fmt::format(
            "{}: whole, its ledger fits.\nThe key is not in it, nor are clips: keep a copy of the key's "
            "file elsewhere.\n",
            options.file)
            .c_str(),
        stdout);
}

void restore(const BackupOptions& options) {
    { const auto there = open_for_reading(options.file); }
    RealFiles files;
    prepare_output_folder(files, options.out);
    const RunLock lock(options.out);
    const std::filesystem::path store = std::filesystem::path(options.out) / "records.db";
    const Restored restored = restore_store(options.file, store, options.lose_newer, check_whole_ledger);
    std::string text = fmt::format("{} is restored: whole, its ledger fits.\n", store.string());
    if (!restored.put_aside.empty())
        text += fmt::format("What was there is {}.\n", restored.put_aside.string());
    std::fputs(text.c_str(), stdout);
}

} // namespace

void add_backup(CLI::App& app) {
    const auto options = std::make_shared<BackupOptions>();
    CLI::App* command = app.add_subcommand("backup", "Copy the record store, verified, while it is used");
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
    command->footer(
        "The backup is verified first. The store that was there is kept beside it under\n"
        "another name. Not while a daemon runs on the folder.");
    command->callback([options] { restore(*options); });
}

} // namespace quietpass
