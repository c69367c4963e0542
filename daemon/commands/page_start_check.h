// Whether `quietpass run` would come to serve the page: the same question as it asks, and the port tried.
// Nothing is made or altered. Throws nothing. One thread.
#pragma once

#include <filesystem>

#include "daemon/checks/check_line.h"
#include "daemon/settings/page_settings.h"

namespace quietpass {

CheckLines check_page_start(const PageSettings& page, const std::filesystem::path& out);

} // namespace quietpass
