#include <fmt/format.h>

#include "daemon/reports/report_figures.h"

namespace quietpass {

std::string RecordSignature::code() const {
    return fmt::format("QUIETPASS1 {} {} {} {} {}", seq, hash, utc_ns, key_id, signature);
}

} // namespace quietpass
