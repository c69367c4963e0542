// A page with a manager at it, whose answers are held against openapi.json. Tests only.
#pragma once

#include <vector>

#include "daemon/records/journal_entry.h"
#include "tests/web/described.h"
#include "tests/web/served_page.h"

namespace quietpass::test {

struct Manager {
    ServedPage page{[](StationSettings& settings) { settings.timezone = "America/Denver"; }};
    HttpClient client{page.address};
    Described api{client};

    Manager() {
        REQUIRE(page.writer->flush(std::chrono::seconds(10))); // its own shift has its number
        REQUIRE(client.log_in("manager", kPassword).status == 200);
    }
    std::vector<JournalEntry> journal() const { return Store(page.folder / "records.db").journal(); }
};

} // namespace quietpass::test
