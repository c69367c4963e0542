#include "daemon/health/minute_trouble.h"

#include <utility>

namespace quietpass {

std::string trouble_in(const MicrophoneMinute& minute) {
    const std::pair<double, const char*> signs[] = {
        {minute.silent_s, "silent: look at its plug and its cable"},
        {minute.clipped_s, "clipped: turn its gain down"},
        {minute.hum_s, "swamped by mains hum: look at its cable and its shield"},
        {minute.wind_s, "blown on or wet: look at its wind shield"},
        {minute.covered_s, "without its high end: look whether it is covered or its foam is wet"},
        {minute.level_far_s,
         "far from its usual level: look at its gain and its place; if the sound is "
         "right as it is now, start the daemon again"}};
    for (const auto& [seconds, words] : signs) {
        if (minute.worked_s > 0.0 && seconds >= 0.5 * minute.worked_s) return words;
    }
    return "";
}

} // namespace quietpass
