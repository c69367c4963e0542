#include "daemon/web/page_access.h"

namespace quietpass {

PageRefusal page_refusal(const PageSettings& page, bool anybody, const std::filesystem::path& out) {
    if (!page.on || anybody || is_loopback(page.address)) return {};
    return {"[page] address " + page.address + ": nobody may log in yet, so it is for this machine only",
            "add somebody with `quietpass users add NAME --role administrator --out " + out.string() +
                "`, or set address to 127.0.0.1"};
}

} // namespace quietpass
