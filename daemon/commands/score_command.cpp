#include "daemon/commands/score_command.h"

#include <date/date.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <limits>
#include <memory>
#include <optional>
#include <sstream>

#include "daemon/build_facts.h"
#include "daemon/capture/file_source.h"
#include "daemon/commands/provenance.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/failure.h"
#include "daemon/hearing/separation.h"
#include "daemon/profile_file.h"
#include "daemon/progress_line.h"
#include "daemon/records/sha256.h"
#include "daemon/settings/station_file.h"
#include "daemon/shift_book.h"
#include "daemon/station.h"

namespace quietpass {

namespace {

std::optional<StationUtc> start_from(const std::string& text) {
    if (text.empty()) return std::nullopt;
    std::istringstream stream(text);
    date::sys_time<std::chrono::nanoseconds> time;
    stream >> date::parse("%FT%TZ", time);
    if (stream.fail() || stream.peek() != std::istringstream::traits_type::eof()) {
        throw Failure(kExitUsage,
                      "score: --start " + text + ": expected a UTC time such as 2026-03-02T13:00:00Z");
    }
    return StationUtc{.utc_ns_at_zero = time.time_since_epoch().count()};
}

// The audio files side by side: channels are numbered through all files, as microphones.
class Recordings {
  public:
    explicit Recordings(const std::vector<std::string>& paths) {
        for (const std::string& path : paths) {
            files_.push_back(std::make_unique<FileSource>(path));
            first_microphone_.push_back(rates_hz_.size());
            const FileSource& file = *files_.back();
            rates_hz_.insert(rates_hz_.end(), static_cast<std::size_t>(file.channels()),
                             file.sample_rate_hz());
            longest_s_ = std::max(longest_s_, static_cast<double>(file.length()) / file.sample_rate_hz());
        }
        heard_s_.assign(files_.size(), 0.0);
        ended_.assign(files_.size(), false);
    }

    // Channels of one file share its clock.
    void set_clocks(std::vector<MicrophoneSettings>& microphones) const {
        for (std::size_t i = 0; i < microphones.size(); ++i) {
            const auto file = std::upper_bound(first_microphone_.begin(), first_microphone_.end(), i);
            microphones[i].clock = static_cast<std::size_t>(file - first_microphone_.begin());
        }
    }

    const std::vector<double>& rates_hz() const { return rates_hz_; }
    double longest_s() const { return longest_s_; }
    double heard_until_s() const { return *std::min_element(heard_s_.begin(), heard_s_.end()); }

    // Feeds the next stretch of the file that is furthest behind; false at the end of all.
    bool feed(Station& station) {
        const auto behind = std::min_element(heard_s_.begin(), heard_s_.end());
        const auto index = static_cast<std::size_t>(behind - heard_s_.begin());
        if (ended_[index]) return false;
        FileSource& file = *files_[index];
        file.next(stretch_);
        if (stretch_.kind == Stretch::Kind::kEnd) {
            end(station, index);
            return true;
        }
        for (int channel = 0; channel < file.channels(); ++channel) {
            station.hear(first_microphone_[index] + static_cast<std::size_t>(channel),
                         stretch_.channel(channel));
        }
        heard_s_[index] = static_cast<double>(stretch_.first_index + stretch_.count) / file.sample_rate_hz();
        return true;
    }

  private:
    // A file that ends before the longest one was not heard for the rest.
    void end(Station& station, std::size_t index) {
        FileSource& file = *files_[index];
        const auto missing = static_cast<std::int64_t>(longest_s_ * file.sample_rate_hz()) - file.length();
        for (int channel = 0; channel < file.channels() && missing > 0; ++channel) {
            station.lose(first_microphone_[index] + static_cast<std::size_t>(channel), missing,
                         GapCause::kUnplugged);
        }
        ended_[index] = true;
        heard_s_[index] = std::numeric_limits<double>::infinity();
    }

    std::vector<std::unique_ptr<FileSource>> files_;
    std::vector<std::size_t> first_microphone_;
    std::vector<double> rates_hz_;
    std::vector<double> heard_s_;
    std::vector<bool> ended_;
    double longest_s_ = 0.0;
    Stretch stretch_;
};

// A store under way: nothing of it stays behind unless it was renamed.
struct StoreAside {
    explicit StoreAside(std::filesystem::path file) : path(std::move(file)) { remove(); }
    ~StoreAside() { remove(); }
    StoreAside(const StoreAside&) = delete;
    StoreAside& operator=(const StoreAside&) = delete;

    void remove() const {
        for (const char* ending : {"", "-wal", "-shm"}) {
            std::error_code ignored;
            std::filesystem::remove(path.string() + ending, ignored);
        }
    }

    std::filesystem::path path;
};

void check_channels(const StationSettings& settings, const Recordings& recordings) {
    const std::size_t channels = recordings.rates_hz().size();
    if (settings.microphones.size() != channels) {
        throw Failure(kExitUsage, settings.file + ": has " + std::to_string(settings.microphones.size()) +
                                      " [[microphone]] entries, the audio has " + std::to_string(channels) +
                                      " channels; each channel is a microphone, in the same order");
    }
}

void play(Recordings& recordings, const std::vector<ContactEdge>& edges, Station& station, ShiftBook& book) {
    ProgressLine progress("score", ProgressLine::Elsewhere::kNothing);
    auto edge = edges.begin();
    const auto give_edges_until = [&](double time_s) {
        for (; edge != edges.end() && edge->edge.time_s < time_s; ++edge) {
            station.take(edge->edge);
            book.on_edge(edge->edge);
        }
        station.contacts_known_until(time_s);
    };
    while (recordings.feed(station)) {
        const double heard_s = std::min(recordings.heard_until_s(), recordings.longest_s());
        give_edges_until(heard_s);
        progress.show(static_cast<std::size_t>(heard_s), static_cast<std::size_t>(recordings.longest_s()),
                      "scoring");
    }
    for (; edge != edges.end(); ++edge) book.on_stray_edge(edge->edge, "after the end of the audio");
    station.finish();
}

} // namespace

void score(const ScoreOptions& options) {
    const std::optional<StationUtc> start = start_from(options.start);
    StationSettings settings = read_station_file(options.station);
    const auto profile = read_profile(settings.species, settings.profile);
    Recordings recordings(options.audio);
    check_channels(settings, recordings);
    recordings.set_clocks(settings.microphones);
    const std::vector<ContactEdge> edges = edges_of(read_contacts_csv(options.contacts, settings), settings);
    RealFiles files;
    const std::filesystem::path out = options.out;
    prepare_output_folder(files, out);

    Provenance provenance = provenance_of(settings, profile ? &*profile : nullptr);
    for (const std::string& path : options.audio) {
        provenance.hashes["audio:" + std::filesystem::path(path).filename().string()] =
            sha256_hex_of_file(path);
    }
    provenance.hashes["contacts"] = sha256_hex_of_file(options.contacts);

    // The store is made aside and takes its name when it is whole.
    const StoreAside aside(out / ".shift.db.part");
    const std::filesystem::path& store_aside = aside.path;
    std::vector<NamedBytes> written;
    {
        StoreWriter store{Store(store_aside)};
        ShiftBook book(settings, provenance, nullptr, store,
                       [&written](const ClosedShift& closed) { written = files_of(closed); });
        Station station(settings, profile ? &profile->profile : nullptr, recordings.rates_hz(), book);
        const Separation separation = separation_of(settings);
        if (profile && separation.by != SeparatedBy::kLevelAndDelay) {
            std::fprintf(stderr, "score: %s\n", separation.note.c_str());
        }
        book.begin(0.0, start);
        play(recordings, edges, station, book);
        book.finish(recordings.longest_s());
        if (!store.flush(std::chrono::minutes(1))) {
            const std::string error = store.state().error;
            throw Failure(kExitFailure, store_aside.string() + ": can't be written (" + error +
                                            "); free the disk and score again");
        }
    }
    write_whole(files, out, written);
    files.rename(store_aside, out / "shift.db");
    files.sync_folder(out);
}

} // namespace quietpass
