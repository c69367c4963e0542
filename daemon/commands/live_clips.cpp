#include "daemon/commands/live_clips.h"

#include <chrono>
#include <utility>

#include "daemon/commands/clip_origin.h"

namespace quietpass {

namespace {

// How long the end waits for the disk.
constexpr std::chrono::seconds kLastWrite{10};

// With all clips switched off: next to nothing in memory. Those of before still go when their time is over.
constexpr double kOff_s = 1.0;

} // namespace

LiveClips::LiveClips(const StationSettings& settings, std::span<const double> rates_hz, const ShiftBook& book,
                     Files& files, const Clock& clock, const std::filesystem::path& out, Say say)
    : ring_(clipped_rates(rates_hz), settings.clips.any() ? settings.clips.memory_s : kOff_s),
      plan_(settings.clips, [&book](double time_s) { return book.shift_id_of(time_s); }),
      say_(std::move(say)),
      writer_(std::make_unique<ClipFiler>(out, clip_origin_of(settings), settings.clips, files,
                                          Store(out / "records.db"), clock, say_)) {
    if (settings.microphones.size() > kMostChannels)
        say_(true, "clips hold the first " + std::to_string(kMostChannels) + " microphones only");
    if (settings.clips.continuous_until_utc_ns) {
        say_(true, "[clips] records everything for a set time; see continuous_until in the station file");
    }
}

void LiveClips::turn(const LiveStation& live) {
    plan_.advance(ring_.heard_until_s(), live.utc());
    take_due(live);
}

void LiveClips::finish(const LiveStation& live) {
    plan_.finish(live.heard_until_s());
    take_due(live);
    if (!writer_.flush(kLastWrite)) say_(true, "clips: the last could not be written; look at the log");
}

void LiveClips::take_due(const LiveStation& live) {
    ClipWish wish;
    while (plan_.take(wish)) {
        auto cut = ring_.cut(wish.start_s, wish.end_s);
        if (!cut) continue; // its sound never was
        const auto utc = live.utc();
        const auto start_utc_ns = utc ? utc->at(cut->start_s) : std::nullopt;
        if (!writer_.post({wish, std::move(*cut), start_utc_ns})) {
            say_(true, "a clip is lost: the disk takes clips more slowly than they come");
        }
    }
}

} // namespace quietpass
