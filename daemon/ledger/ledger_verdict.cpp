#include "daemon/ledger/ledger_verdict.h"

namespace quietpass {
namespace {

const char* word_of(MisfitCause cause) {
    switch (cause) {
        case MisfitCause::kChanged:
            return "changed";
        case MisfitCause::kHashChanged:
            return "hash changed";
        case MisfitCause::kMissing:
            return "missing";
        case MisfitCause::kInserted:
            return "inserted";
        case MisfitCause::kOutOfOrder:
            return "out of order";
        case MisfitCause::kRowWithoutEntry:
            return "row without ledger entry";
        case MisfitCause::kEntryWithoutRow:
            return "ledger entry without row";
        case MisfitCause::kWrongSignature:
            return "wrong signature";
        case MisfitCause::kUnknownKey:
            return "unknown key";
        case MisfitCause::kUnreadable:
            return "unreadable";
    }
    return "";
}

} // namespace

std::string words_of(const Misfit& misfit) {
    std::string text = "record " + std::to_string(misfit.seq);
    if (!misfit.kind.empty()) text += " (" + misfit.kind + ")";
    return text + ": " + word_of(misfit.cause) + ": " + misfit.why;
}

} // namespace quietpass
