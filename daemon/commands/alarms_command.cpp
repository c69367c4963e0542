#include "daemon/commands/alarms_command.h"

#include <pwd.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <iterator>

#include "daemon/alarms/alarm_listing.h"
#include "daemon/alarms/enter_alarm_events.h"
#include "daemon/alarms/stored_alarm.h"
#include "daemon/clock.h"
#include "daemon/commands/records_options.h"
#include "daemon/failure.h"
#include "daemon/records/store.h"
#include "daemon/records/store_place.h"

namespace quietpass {

namespace {

StoredAlarm alarm_of(const std::vector<StoredAlarm>& alarms, std::int64_t id) {
    const auto found = std::find_if(alarms.begin(), alarms.end(),
                                    [id](const StoredAlarm& alarm) { return alarm.id() == id; });
    if (found == alarms.end()) {
        throw Failure(kExitUsage, "alarms: there is no alarm " + std::to_string(id) +
                                      "; `quietpass alarms list --all` lists those there are");
    }
    return *found;
}

void print(const std::string& text) {
    std::fputs(text.c_str(), stdout);
}

std::string name_of_user(const AlarmsOptions& options) {
    if (!options.by.empty()) return options.by;
    const passwd* const user = getpwuid(getuid());
    if (user == nullptr) throw Failure(kExitUsage, "alarms: whose name? give --by NAME");
    return user->pw_name;
}

// One row for each, all or none.
void write_all(const AlarmsOptions& options, const std::string& event) {
    Store store(store_in("alarms", options.out));
    const std::string by = name_of_user(options);
    try {
        enter_alarm_events(store, options.alarms, event, by, RealClock().utc_ns());
    } catch (const StoreError& error) {
        throw Failure(kExitFailure, std::string("alarms: ") + error.what() + "; try again");
    }
    for (const std::int64_t id : options.alarms)
        print("alarm " + std::to_string(id) + " " + event + " by " + by + "\n");
}

} // namespace

void list_alarms(const AlarmsOptions& options) {
    const OpenRecords records("alarms", options.out);
    std::vector<StoredAlarm> alarms = alarms_in(records.store().alarm_events());
    if (!options.all) std::erase_if(alarms, [](const StoredAlarm& alarm) { return !alarm.open(); });
    if (options.csv) return print(alarm_csv(alarms));
    if (options.json) return print(alarm_json(alarms, false));
    if (alarms.empty()) return print(options.all ? "There was no alarm yet.\n" : "No alarm is open.\n");
    print(alarm_table(alarms, records.time()));
}

void show_alarms(const AlarmsOptions& options) {
    const OpenRecords records("alarms", options.out);
    const auto all = alarms_in(records.store().alarm_events());
    std::vector<StoredAlarm> alarms;
    std::transform(options.alarms.begin(), options.alarms.end(), std::back_inserter(alarms),
                   [&all](std::int64_t id) { return alarm_of(all, id); });
    if (options.csv) return print(alarm_csv(alarms));
    if (options.json) return print(alarm_json(alarms, true));
    for (const StoredAlarm& alarm : alarms) print(alarm_page(alarm, records.time()));
}

void acknowledge_alarms(const AlarmsOptions& options) {
    write_all(options, "acknowledged");
}

void clear_alarms(const AlarmsOptions& options) {
    write_all(options, "cleared");
}

} // namespace quietpass
