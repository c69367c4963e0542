// [page] of the station file, checked: where the page is served, to whom, and its limits. Plain values;
// deploy/station.md has the basis of each default.
#pragma once

#include <string>

namespace quietpass {

struct PageSettings {
    bool on = false; // [page] is there
    std::string address = "127.0.0.1";
    int port = 8730;         // 0: any free one
    std::string certificate; // PEM files; both or neither
    std::string key;
    bool tls = false;                 // as wished, or as the address needs it
    std::string files;                // folder of the built page; empty: the shipped one
    bool metrics_to_all = false;      // else to this machine only
    int connections = 512;            // in all …
    int connections_per_address = 64; // … and from one address
    double header_s = 10.0;           // a request's header must be whole after so long …
    double body_s = 20.0;             // … its body after so long
    double idle_s = 60.0;             // a silent connection is closed
    double write_s = 30.0;            // one piece of an answer must be taken within this
    int live_queue_kb = 512;          // what may wait for a live client; with more it is dropped
    double session_idle_minutes = 30.0;
    double session_hours = 12.0;
};

bool is_loopback(const std::string& address);

} // namespace quietpass
