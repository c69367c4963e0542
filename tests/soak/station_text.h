// The station of the soak: a cattle box with a head holder, two shifts a day, clips that must give way soon,
// and alarms to a webhook.
#pragma once

#include <fmt/format.h>

#include <array>
#include <string>

namespace quietpass::soak {

inline constexpr double kClips_mb = 60.0;

inline std::string station_text(const std::string& receiver_url) {
    std::string text = R"(
[station]
name = "box-1"
species = "cattle"
timezone = "America/Denver"

[restraint]
kind = "box"
head_holder = true

[[microphone]]
name = "head"
device = "soak"
)";
    int input = 0;
    for (const char* role : {"entered", "body_held", "held", "stunned", "released", "prodded", "stopped"}) {
        text += fmt::format(
            "\n[[contact]]\nrole = \"{}\"\ninput = \"modbus://127.0.0.1:1502/unit/1/discrete/{}\"\n", role,
            input++);
    }
    for (const auto& [name, start, end] :
         {std::array{"early", "06:00", "14:30"}, std::array{"late", "14:45", "23:15"}}) {
        text += fmt::format(
            "\n[[shift]]\nname = \"{}\"\nstart = \"{}\"\nend = \"{}\"\n"
            "days = [\"mon\", \"tue\", \"wed\", \"thu\", \"fri\"]\n",
            name, start, end);
    }
    text += fmt::format("\n[clips]\nquiet_percent = 5\nkeep_days = 3\nkeep_mb = {:.0f}\nmin_free_mb = 1\n",
                        kClips_mb);
    text += "\n[scoring]\nlimit_percent = 5.0\nbasis = \"a guide of the plant's own, 2026\"\n";
    text += "\n[alarms]\ndisk_low_mb = 1\n";
    text += fmt::format(
        "\n[[delivery]]\nkind = \"webhook\"\nname = \"office\"\nurl = \"{}\"\nsecret_file = \"secret\"\n"
        "within_s = 2\nfirst_retry_s = 0.2\nlast_retry_s = 1\n",
        receiver_url);
    text += "\n[outbox]\nkeep_days = 2\n";
    return text;
}

} // namespace quietpass::soak
