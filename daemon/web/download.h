// A file handed out to be kept: its name for the browser, and the byte range that was asked for. Within
// daemon/web only. file_answer throws Refusal: 404 for a file that isn't there, 416 for a range that can't be
// given.
#pragma once

#include <filesystem>
#include <string>
#include <utility>

#include "daemon/web/web_message.h"

namespace quietpass {

// name: letters, digits, '-' and '.' only.
inline std::pair<std::string, std::string> as_download(const std::string& name) {
    return {"Content-Disposition", "attachment; filename=\"" + name + '"'};
}

// Whole, or one range of it.
WebAnswer file_answer(const WebRequest& request, const std::filesystem::path& file, const std::string& type,
                      const std::string& etag);

} // namespace quietpass
