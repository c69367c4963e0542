// The journal by the page: changes, lots and notes are listed, entered and withdrawn by the functions that
// the commands use.
#include "daemon/journal/enter_entries.h"
#include "daemon/records/access_rows.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/station_time.h"
#include "daemon/records/utc_text.h"
#include "daemon/web/api_json.h"
#include "daemon/web/api_route.h"
#include "daemon/web/journal_json.h"

namespace quietpass {

namespace {

EntryKind kind_of(const std::string& place) {
    if (place == "changes") return EntryKind::kChange;
    return place == "lots" ? EntryKind::kLot : EntryKind::kNote;
}

std::string subject_of(EntryKind kind, std::int64_t id) {
    return std::string(name_of(kind == EntryKind::kLotEnd ? EntryKind::kLot : kind)) + " " +
           std::to_string(id);
}

// The fields that the command's options are.
JournalEntry entry_of(const Api::Call& call, EntryKind kind) {
    JournalEntry entry;
    entry.kind = kind;
    switch (kind) {
        case EntryKind::kChange:
            call.only({"what", "station_part", "at"});
            entry.text = call.text("what", kLongestText);
            entry.station_part = call.text_or("station_part", kLongestName, "");
            break;
        case EntryKind::kLot:
            call.only({"name", "at"});
            entry.text = call.text("name", kLongestName);
            break;
        case EntryKind::kNote:
            call.only({"text", "at", "until"});
            entry.text = call.text("text", kLongestText);
            break;
        case EntryKind::kLotEnd:
        case EntryKind::kWithdrawn:
            call.only({"at"});
            break;
    }
    entry.by = call.who().name;
    return entry;
}

} // namespace

WebAnswer Api::entries(const Call& call) {
    const EntryKind kind = kind_of(call.place);
    NewestEntries wish;
    wish.kinds = {kind};
    if (kind == EntryKind::kLot) wish.kinds.push_back(EntryKind::kLotEnd);
    wish.from_utc_ns = call.moment("from");
    wish.to_utc_ns = call.moment("to");
    wish.before = call.number("before", 1, INT64_MAX);
    wish.most = static_cast<int>(call.number("most", 1, 1000).value_or(100));
    return reader_.read([&](SQLite::Database& database) {
        Json list = Json::array();
        for (const JournalEntry& entry : read_newest_entries(database, wish)) {
            Json json = entry_json(entry);
            if (entry.kind == EntryKind::kLot) {
                const auto end = lot_end(database, entry);
                if (end) json["until"] = utc_text(*end);
            }
            list.push_back(std::move(json));
        }
        return json_answer({{call.place, std::move(list)}});
    });
}

WebAnswer Api::entered(const Call& call, JournalEntry entry) {
    const std::string at = call.text_or("at", kLongestMoment, "");
    const std::string until = call.text_or("until", kLongestMoment, "");
    entry.added_utc_ns = parts_.clock.utc_ns();
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        const StationTime time = station_time(database);
        entry.at_utc_ns = at.empty() ? entry.added_utc_ns : time.moment("at", at);
        if (!until.empty()) entry.until_utc_ns = time.moment("until", until);
        entry.id = enter_entry(database, entry);
        add_access(database, {entry.added_utc_ns, entry.by, "enter", subject_of(entry.kind, entry.id),
                              "from " + call.request.address});
    });
    return json_answer(entry_json(entry), 201);
}

WebAnswer Api::enter(const Call& call) {
    return entered(call, entry_of(call, kind_of(call.place)));
}

WebAnswer Api::end_lot(const Call& call) {
    return entered(call, entry_of(call, EntryKind::kLotEnd));
}

WebAnswer Api::withdraw(const Call& call) {
    const EntryKind kind = kind_of(call.place);
    const std::int64_t id = call.id(0);
    const std::int64_t utc_ns = parts_.clock.utc_ns();
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        if (!withdraw_entry(database, kind, id, call.who().name, utc_ns)) {
            throw Refusal{404, "no such " + std::string(name_of(kind)) + " is in force", call.request.path,
                          "give one of /api/v1/" + call.place};
        }
        add_access(database, {utc_ns, call.who().name, "withdraw", subject_of(kind, id),
                              "from " + call.request.address});
    });
    return json_answer({{"withdrawn", id}});
}

} // namespace quietpass
