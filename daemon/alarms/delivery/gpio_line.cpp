#include "daemon/alarms/delivery/gpio_line.h"

#include <gpiod.h>

#include <cerrno>
#include <cstring>

namespace quietpass {

namespace {

struct CloseChip {
    void operator()(gpiod_chip* chip) const { gpiod_chip_close(chip); } // releases its lines
};

} // namespace

struct GpioLine::Parts {
    GpioLineAddress address;
    std::unique_ptr<gpiod_chip, CloseChip> chip;
    gpiod_line* line = nullptr; // the chip's
};

GpioLine::GpioLine(GpioLineAddress address)
    : parts_(std::make_unique<Parts>(Parts{std::move(address), nullptr, nullptr})) {}

GpioLine::~GpioLine() = default;

std::string GpioLine::set(bool on) {
    const auto failed = [this](const char* what) {
        const std::string why = std::strerror(errno);
        parts_->line = nullptr;
        parts_->chip.reset();
        return std::string(what) + " (" + why + ")";
    };
    if (parts_->line != nullptr) {
        return gpiod_line_set_value(parts_->line, on ? 1 : 0) == 0 ? "" : failed("the line can't be set");
    }
    parts_->chip.reset(gpiod_chip_open_by_name(parts_->address.chip.c_str()));
    if (!parts_->chip) return failed("the chip can't be opened");
    parts_->line = gpiod_chip_get_line(parts_->chip.get(), static_cast<unsigned>(parts_->address.line));
    if (parts_->line == nullptr) return failed("the chip has no such line");
    if (gpiod_line_request_output(parts_->line, "quietpass alarms", on ? 1 : 0) != 0) {
        return failed("the line can't be had as an output");
    }
    return {};
}

} // namespace quietpass
