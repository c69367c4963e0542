#include "daemon/commands/run_signals.h"

#include <csignal>

namespace quietpass {

namespace {

std::atomic<bool> stop_is_wished{false};
std::atomic<bool> reload_is_wished{false};

void wish_stop(int /*signal*/) {
    stop_is_wished.store(true);
}
void reload_signal(int /*signal*/) {
    wish_reload();
}

} // namespace

void install_signals() {
    struct sigaction action {};
    action.sa_handler = wish_stop;
    sigaction(SIGTERM, &action, nullptr);
    sigaction(SIGINT, &action, nullptr);
    action.sa_handler = reload_signal;
    sigaction(SIGHUP, &action, nullptr);
    std::signal(SIGPIPE, SIG_IGN);
    std::signal(SIGXFSZ, SIG_IGN); // a file that may grow no more is a full disk: told, and tried again
}

const std::atomic<bool>& stop_wished() {
    return stop_is_wished;
}

void wish_reload() {
    reload_is_wished.store(true);
}

bool take_reload_wish() {
    return reload_is_wished.exchange(false);
}

} // namespace quietpass
