#include "daemon/ledger/ledger_entries.h"

#include <cstring>

namespace quietpass {

LedgerEntries::LedgerEntries(SQLite::Database& database, std::int64_t from_seq)
    : query_(database, "SELECT seq, kind, hash FROM ledger WHERE seq >= ? ORDER BY seq") {
    query_.bind(1, from_seq);
}

bool LedgerEntries::next() {
    if (!query_.executeStep()) return false;
    entry_.seq = query_.getColumn(0).getInt64();
    const SQLite::Column kind = query_.getColumn(1);
    entry_.kind.assign(kind.getText(), static_cast<std::size_t>(kind.getBytes()));
    const SQLite::Column hash = query_.getColumn(2);
    entry_.hash.reset();
    if (hash.getBytes() == static_cast<int>(kChainStart.size())) {
        entry_.hash.emplace();
        std::memcpy(entry_.hash->data(), hash.getBlob(), kChainStart.size());
    }
    return true;
}

} // namespace quietpass
