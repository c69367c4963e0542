#include "daemon/web/journal_json.h"

#include "daemon/records/utc_text.h"

namespace quietpass {

nlohmann::ordered_json entry_json(const JournalEntry& entry) {
    nlohmann::ordered_json json = {{"entry_id", entry.id},
                                   {"kind", name_of(entry.kind)},
                                   {"at", utc_text(entry.at_utc_ns)},
                                   {"until", nullptr},
                                   {"text", entry.text},
                                   {"station_part", entry.station_part},
                                   {"entered_by", entry.by},
                                   {"added", utc_text(entry.added_utc_ns)}};
    if (entry.until_utc_ns) json["until"] = utc_text(*entry.until_utc_ns);
    return json;
}

} // namespace quietpass
