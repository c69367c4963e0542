// What the daemon is asked for by signals: SIGTERM and SIGINT stop it, SIGHUP wishes new settings. Set from
// the signal handler, read from any thread.
#pragma once

#include <atomic>

namespace quietpass {

void install_signals();

const std::atomic<bool>& stop_wished();

// As SIGHUP does. From any thread.
void wish_reload();
// True once for each wish.
bool take_reload_wish();

} // namespace quietpass
