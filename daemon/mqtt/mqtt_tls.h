// TLS of a connection to an MQTT broker, the same for contacts and for alarms: 1.2 or later, the broker's
// certificate checked, with its name, against the authorities of a file or else the system's.
#pragma once

#include <string>

struct mosquitto;

namespace quietpass {

// Before the client connects. ca_file: PEM; empty: the system's authorities. A MOSQ_ERR_ code, 0 when well.
int use_tls(mosquitto* client, const std::string& ca_file);

} // namespace quietpass
