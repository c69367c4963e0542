// What people enter into a record store: `quietpass lot`, `quietpass note` and the entries of
// `quietpass change`, each with add, list and withdraw. Rows are only added. Throws Failure.
#pragma once

#include <CLI/CLI.hpp>

#include "daemon/records/journal_entry.h"

namespace quietpass {

void add_lot(CLI::App& app); // also `end` and `figures`
void add_note(CLI::App& app);

// The subcommands of one kind of entry: add, list, withdraw.
void add_entry_commands(CLI::App& command, EntryKind kind);

} // namespace quietpass
