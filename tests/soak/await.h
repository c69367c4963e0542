// Waits for what another thread of the daemon does: looks again and again, for two minutes of real time at
// most. Throws Failure with `what` then.
#pragma once

#include <chrono>
#include <string>
#include <thread>

#include "daemon/failure.h"

namespace quietpass::soak {

template <typename Condition>
void await(Condition condition, const std::string& what) {
    const auto give_up = std::chrono::steady_clock::now() + std::chrono::minutes(2);
    while (!condition()) {
        if (std::chrono::steady_clock::now() > give_up) throw Failure(kExitFailure, what);
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
}

} // namespace quietpass::soak
