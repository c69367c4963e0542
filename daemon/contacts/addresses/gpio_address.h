// A contact wired to a line of a GPIO chip of this machine: gpio:CHIP/N[/BIAS].
//
// CHIP: the chip's name (gpiochip0) or label, as `gpiodetect` lists them; N: the line, from 0; BIAS:
// pull-up, pull-down or no-bias, what the chip does with a line that nothing drives; left out: as it is.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace quietpass {

enum class GpioBias { kAsIs, kPullUp, kPullDown, kNone };

struct GpioAddress {
    std::string chip;
    int line = 0;
    GpioBias bias = GpioBias::kAsIs;

    // What is watched together: "gpio:CHIP".
    std::string source() const { return "gpio:" + chip; }
    // Which of the chip's lines; it has one bias.
    std::string place() const { return std::to_string(line); }
};

inline constexpr std::string_view kGpioForm =
    "gpio:CHIP/LINE (or gpio:CHIP/LINE/pull-up, …/pull-down, …/no-bias)";

// Nothing for anything that isn't of that form.
std::optional<GpioAddress> gpio_address_from(std::string_view input);

} // namespace quietpass
