// The files of the page, in memory and compressed once. A name with a hash of its content in it
// ("app.4F2A9C01.js") may be kept for ever by a browser, another is asked for again each time. Immutable
// after construction; any thread.
//
// Errors: Failure (exit 2) for a folder that can't be read, has no index.html or is beyond 64 MiB.
#pragma once

#include <map>
#include <memory>
#include <string>

#include "daemon/web/web_message.h"

namespace quietpass {

class StaticFiles {
  public:
    // folder: of the built page; empty: a plain page that says what there is.
    explicit StaticFiles(const std::string& folder);

    // Of GET and HEAD; 404 for a name that isn't there. Paths without a dot in their last part are the
    // page's own and get index.html.
    WebAnswer answer(const WebRequest& request) const;

  private:
    struct File {
        std::string type;
        std::string etag;
        bool hashed = false; // its name has its hash
        std::shared_ptr<const std::string> bytes;
        std::shared_ptr<const std::string> gzipped; // null: not worth it
    };
    void add(const std::string& name, std::string bytes);

    std::map<std::string, File> files_; // by path, "/index.html"
};

} // namespace quietpass
