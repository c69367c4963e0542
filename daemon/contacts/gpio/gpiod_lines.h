// The lines of a real GPIO chip, by libgpiod 1.6. See gpio_lines.h.
#pragma once

#include <memory>

#include "daemon/contacts/gpio/gpio_lines.h"

namespace quietpass {

class GpiodLines final : public GpioLines {
  public:
    GpiodLines();
    ~GpiodLines() override;

    bool open(const std::vector<GpioAddress>& lines) override;
    void close() override;
    std::optional<std::vector<bool>> levels() override;
    std::optional<std::vector<GpioEdge>> edges(double at_most_s) override;
    const std::string& why() const override { return why_; }

  private:
    struct Chip;

    bool fail(const std::string& what);

    std::unique_ptr<Chip> chip_; // while open
    std::string why_;
};

} // namespace quietpass
