// Reads and checks the [[delivery]] tables and [outbox] of a station file. Errors as in station_file.h. That
// the files named in them can be read is checked when the channels are made (daemon/alarms/delivery/).
#pragma once

#include <vector>

#include "daemon/settings/delivery_settings.h"
#include "daemon/settings/strict_table.h"

namespace quietpass {

// station: its name, for the default topic and client id. folder: of the station file; relative paths start
// there.
struct DeliveryPlace {
    std::string station;
    std::string folder;
};

// Adds the table's channel to the others, whose names must differ.
void read_delivery(StrictTable& table, const DeliveryPlace& place, std::vector<DeliverySettings>& deliveries);

void read_outbox(StrictTable& table, OutboxSettings& outbox);

} // namespace quietpass
