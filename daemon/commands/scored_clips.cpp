#include "daemon/commands/scored_clips.h"

#include <chrono>
#include <system_error>
#include <utility>

#include "daemon/commands/clip_origin.h"
#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::chrono::minutes kForTheDisk{1};

} // namespace

ClipsAside::ClipsAside(const std::filesystem::path& out) : out_(out), path_(out / ".clips.part") {
    std::error_code ignored;
    if (std::filesystem::exists(out_ / "records.db", ignored)) {
        throw Failure(kExitUsage, "score: --clips: " + out_.string() +
                                      " is the folder of a running station, whose clips are there; give "
                                      "another --out");
    }
    std::filesystem::remove_all(path_, ignored);
}

ClipsAside::~ClipsAside() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
}

void ClipsAside::keep(Files& files) const {
    std::filesystem::remove_all(out_ / "clips");
    if (std::filesystem::exists(path_ / "clips")) files.rename(path_ / "clips", out_ / "clips");
    files.sync_folder(out_);
}

ScoredClips::ScoredClips(const StationSettings& settings, std::span<const double> rates_hz,
                         const ShiftBook& book, StoreWriter& writer, Files& files, Store store,
                         const ClipsAside& aside)
    : writer_(writer),
      ring_(clipped_rates(rates_hz), settings.clips.memory_s),
      plan_(settings.clips, [&book](double time_s) { return book.shift_id_of(time_s); }),
      filer_(aside.path(), clip_origin_of(settings), settings.clips, files, std::move(store), clock_,
             [](bool, const std::string&) {}) {
    files.make_folders(aside.path());
}

void ScoredClips::turn(const std::optional<StationUtc>& utc) {
    plan_.advance(ring_.heard_until_s(), utc);
    file_due(utc);
}

void ScoredClips::finish(double end_s, const std::optional<StationUtc>& utc) {
    plan_.finish(end_s);
    file_due(utc);
}

void ScoredClips::file_due(const std::optional<StationUtc>& utc) {
    ClipWish wish;
    while (plan_.take(wish)) {
        auto cut = ring_.cut(wish.start_s, wish.end_s);
        if (!cut) continue; // its sound never was
        // What was found before a clip is recorded before it, so that the same input gives the same records.
        writer_.flush(kForTheDisk);
        const auto start_utc_ns = utc ? utc->at(cut->start_s) : std::nullopt;
        filer_.file({wish, std::move(*cut), start_utc_ns});
        if (filer_.state().dropped > 0 || !filer_.settle()) {
            const std::string why = filer_.state().why;
            throw Failure(kExitFailure, "score: --clips: a clip can't be kept" +
                                            (why.empty() ? std::string() : " (" + why + ")") +
                                            "; free the disk and score again, or leave --clips out");
        }
    }
}

} // namespace quietpass
