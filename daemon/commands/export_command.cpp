#include "daemon/commands/export_command.h"

#include <cstdio>
#include <memory>

#include "daemon/bundles/export_case.h"
#include "daemon/clock.h"
#include "daemon/commands/records_options.h"

namespace quietpass {

namespace {

struct ExportOptions {
    std::string records;
    std::string key_file;
    std::string to;
    std::int64_t id = 0;
    std::string by;
    bool unmasked = false;
    std::string reason;
};

void hand_over(const ExportOptions& options) {
    OpenRecords records("export", options.records, RecordsAccess::kWriting);
    ExportWish wish;
    wish.case_id = options.id;
    wish.folder = std::filesystem::absolute(records.store().file()).parent_path();
    wish.key_file = options.key_file.empty() ? wish.folder / "key" / "station.key"
                                             : std::filesystem::path(options.key_file);
    wish.to = options.to;
    wish.by = options.by;
    wish.masked = !options.unmasked;
    wish.reason = options.reason;
    RealFiles files;
    const RealClock clock;
    const Exported exported = export_case(records.store(), files, clock, wish);
    std::printf("%s: %zu files, %lld clips%s, %.1f MB\n", options.to.c_str(), exported.files,
                static_cast<long long>(exported.clips), wish.masked ? " (masked)" : " NOT MASKED",
                static_cast<double>(exported.bytes) / 1e6);
    std::printf("SHA-256 %s\n", exported.sha256.c_str());
    for (const std::string& note : exported.notes) std::printf("note: %s\n", note.c_str());
    std::fflush(stdout);
}

} // namespace

void add_export(CLI::App& app) {
    const auto options = std::make_shared<ExportOptions>();
    CLI::App* command = app.add_subcommand("export", "Hand a case over: one ZIP that others can check");
    command->footer(
        "Clips are masked: outside the calls nothing of what people said can be\n"
        "understood. The export is on record, with its file, its maker and its reason.\n"
        "Sound and names in it are personal data: local law says who may have them.");
    command->add_option("case", options->id, "The case's number")->required()->check(CLI::PositiveNumber);
    command->add_option("--out,--records", options->records, "Folder that `run` wrote to, or the store in it")
        ->required();
    command->add_option("--to", options->to, "The ZIP to make")->required();
    command->add_option("--by", options->by, "Who hands it over")->required();
    command->add_option("--key", options->key_file,
                        "The station's key, where it is not in\n"
                        "key/station.key of the records' folder");
    CLI::Option* reason = command->add_option("--reason", options->reason, "Why not masked");
    command
        ->add_flag("--unmasked", options->unmasked,
                   "Clips as they were recorded, speech among it.\n"
                   "Only who may decide so, with a --reason")
        ->needs(reason);
    command->callback([options] { hand_over(*options); });
}

} // namespace quietpass
