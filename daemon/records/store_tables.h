// The tables of the record store at this program's schema version, as SQL. FORMATS.md describes them.
#pragma once

namespace quietpass {

// Everything but meta: what the machine saw, what people entered, and the ledger over both.
extern const char* const kTables;

// Those that came after version 4 did: a store that lacks them gets them when it is opened to be written.
extern const char* const kAddedTables;

} // namespace quietpass
