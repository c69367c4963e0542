#include "daemon/shifts/shift_record.h"

namespace quietpass {

std::string_view name_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::kWithinLimit:
            return "within_limit";
        case Verdict::kOverLimit:
            return "over_limit";
        case Verdict::kNotScored:
            return "not_scored";
    }
    return "";
}

} // namespace quietpass
