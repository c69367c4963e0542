// Whether the page may be served as the station file asks: to this machine always, to others only when
// somebody may log in. Pure.
#pragma once

#include <filesystem>
#include <string>

#include "daemon/settings/page_settings.h"

namespace quietpass {

struct PageRefusal {
    std::string why; // empty: it may
    std::string to_do;
};

// anybody: there is an account. out: the folder of the records, for what to do.
PageRefusal page_refusal(const PageSettings& page, bool anybody, const std::filesystem::path& out);

} // namespace quietpass
