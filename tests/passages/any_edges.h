// Holds a property against so many random sequences of edges as QUIETPASS_SEQUENCES says: 300 without it,
// which takes a second or two; a million were run before releases.
#pragma once

#include <rapidcheck.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <functional>
#include <string>

namespace quietpass {

inline void holds_for_any_edges(const char* what, const std::function<void()>& property) {
    static const bool told = [] {
        const char* wished = std::getenv("QUIETPASS_SEQUENCES");
        const std::string count = wished != nullptr ? wished : "300";
        // RapidCheck reads its parameters once, from here. What a user set goes first.
        setenv("RC_PARAMS", ("max_success=" + count).c_str(), 0);
        return true;
    }();
    INFO(what);
    static_cast<void>(told);
    CHECK(rc::check(what, property));
}

} // namespace quietpass
