#include "daemon/commands/change_command.h"

#include "daemon/commands/change_compare_command.h"
#include "daemon/commands/journal_commands.h"

namespace quietpass {

void add_change(CLI::App& app) {
    CLI::App* command = app.add_subcommand("change", "What was altered at the station: before and after");
    add_entry_commands(*command, EntryKind::kChange);
    add_change_compare(*command);
}

} // namespace quietpass
