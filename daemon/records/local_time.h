// Moments as people at the station write and read them: local time of the station's zone, or UTC.
//
// A local time that a clock change skips means the moment of the change; one that happens twice means the
// first of the two. Errors: as zone_named. Immutable; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace date {
class time_zone;
}

namespace quietpass {

class LocalTime {
  public:
    explicit LocalTime(const std::string& timezone);

    // "2026-03-02 06:10:00", seconds rounded down.
    std::string text(std::int64_t utc_ns) const;

    // "2026-03-02 06:10", with or without seconds, a T in place of the blank; local unless it ends in Z.
    // Nothing for any other text.
    std::optional<std::int64_t> moment(const std::string& text) const;

    const std::string& timezone() const { return name_; }

  private:
    std::string name_;
    const date::time_zone* zone_;
};

} // namespace quietpass
