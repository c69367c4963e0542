// A made shift (tests/scenario/FORMAT.md: audio.wav, contacts.csv, truth.csv), read to be played again and
// again. Times are seconds from its first sample. The sound stays on the disk. One thread.
#pragma once

#include <sndfile.h>

#include <filesystem>
#include <memory>
#include <span>
#include <vector>

#include "daemon/contacts/contacts_csv.h"
#include "daemon/settings/station_settings.h"

namespace quietpass::soak {

struct Animal {
    double entered_s = 0.0;
    double released_s = 0.0;
    bool vocal = false;
};

class Reel {
  public:
    // Throws Failure for a shift that isn't there or has another rate than kRate_hz.
    Reel(const std::filesystem::path& folder, const StationSettings& station);

    static constexpr double kRate_hz = 48000.0;
    double length_s() const { return static_cast<double>(frames_) / kRate_hz; }
    const std::vector<Animal>& animals() const { return animals_; }
    const std::vector<ContactChange>& changes() const { return changes_; }
    // What lies beyond either end is silence.
    void read(std::int64_t first, std::span<float> samples);

  private:
    struct Close {
        void operator()(SNDFILE* file) const { sf_close(file); }
    };
    std::unique_ptr<SNDFILE, Close> file_;
    int channels_ = 1;
    std::int64_t frames_ = 0;
    std::int64_t next_ = 0;
    std::vector<float> frames_read_;
    std::vector<Animal> animals_;
    std::vector<ContactChange> changes_;
};

} // namespace quietpass::soak
