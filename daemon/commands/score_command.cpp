#include "daemon/commands/score_command.h"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <future>
#include <memory>
#include <optional>

#include "daemon/build_facts.h"
#include "daemon/calibration/calibration_book.h"
#include "daemon/capture/file_source.h"
#include "daemon/commands/provenance.h"
#include "daemon/commands/scored_clips.h"
#include "daemon/contacts/contact_address.h"
#include "daemon/contacts/contacts_csv.h"
#include "daemon/event_fan_out.h"
#include "daemon/failure.h"
#include "daemon/hearing/separation.h"
#include "daemon/profile_file.h"
#include "daemon/progress_line.h"
#include "daemon/records/read_only_store.h"
#include "daemon/records/sha256.h"
#include "daemon/records/store_schema.h"
#include "daemon/records/utc_text.h"
#include "daemon/settings/station_file.h"
#include "daemon/share_out.h"
#include "daemon/shift_book.h"
#include "daemon/station.h"

namespace quietpass {

namespace {

std::optional<StationUtc> start_from(const std::string& text) {
    if (text.empty()) return std::nullopt;
    const std::optional<std::int64_t> utc_ns = utc_from_text(text);
    if (!utc_ns) {
        throw Failure(kExitUsage,
                      "score: --start " + text + ": expected a UTC time such as 2026-03-02T13:00:00Z");
    }
    return StationUtc{.utc_ns_at_zero = *utc_ns};
}

// One audio file, read ahead a round at a time.
struct Recording {
    explicit Recording(const std::string& path) : file(path) {}

    double length_s() const { return static_cast<double>(file.length()) / file.sample_rate_hz(); }

    void read_until(double time_s) {
        count = 0;
        while (!ended && heard_s < time_s) {
            if (count == stretches.size()) stretches.emplace_back();
            Stretch& stretch = stretches[count];
            file.next(stretch);
            ended = stretch.kind == Stretch::Kind::kEnd;
            if (ended) return;
            ++count;
            heard_s = static_cast<double>(stretch.first_index + stretch.count) / file.sample_rate_hz();
        }
    }

    FileSource file;
    std::vector<Stretch> stretches; // the first `count` of them are this round's
    std::size_t count = 0;
    double heard_s = 0.0;
    bool ended = false;
    bool told = false; // that it ended
};

// The audio files side by side: channels are numbered through all files, as microphones.
class Recordings {
  public:
    explicit Recordings(const std::vector<std::string>& paths) {
        for (const std::string& path : paths) {
            files_.push_back(std::make_unique<Recording>(path));
            const Recording& recording = *files_.back();
            for (int channel = 0; channel < recording.file.channels(); ++channel) {
                channels_.push_back({files_.size() - 1, channel});
                rates_hz_.push_back(recording.file.sample_rate_hz());
            }
            longest_s_ = std::max(longest_s_, recording.length_s());
        }
    }

    // Channels of one file share its clock.
    void set_clocks(std::vector<MicrophoneSettings>& microphones) const {
        for (std::size_t i = 0; i < microphones.size(); ++i) microphones[i].clock = channels_[i].file;
    }

    const std::vector<double>& rates_hz() const { return rates_hz_; }
    double longest_s() const { return longest_s_; }
    double heard_until_s() const { return std::min(round_end_s_, longest_s_); }

    // Feeds the next round of all files, on `jobs` threads; false at the end of all. ring: hears the same;
    // may be null.
    bool feed(Station& station, SoundRing* ring, int jobs) {
        if (round_end_s_ >= longest_s_) return false;
        round_end_s_ += kRound_s;
        share_out(files_.size(), jobs, [&](std::size_t i) { files_[i]->read_until(round_end_s_); });
        share_out(channels_.size(), jobs, [&](std::size_t microphone) {
            const Channel& channel = channels_[microphone];
            const Recording& recording = *files_[channel.file];
            for (std::size_t i = 0; i < recording.count; ++i) {
                const auto samples = recording.stretches[i].channel(channel.number);
                if (in(ring, microphone)) ring->hear(microphone, samples);
                station.listen(microphone, samples);
            }
        });
        station.take_in();
        for (std::size_t i = 0; i < channels_.size(); ++i) tell_end(station, ring, i);
        return true;
    }

  private:
    static constexpr double kRound_s = 4.0; // milliseconds of work a microphone, a megabyte of samples

    struct Channel {
        std::size_t file = 0;
        int number = 0;
    };

    static bool in(const SoundRing* ring, std::size_t microphone) {
        return ring != nullptr && microphone < ring->microphones();
    }

    // A file that ends before the longest one was not heard for the rest.
    void tell_end(Station& station, SoundRing* ring, std::size_t microphone) {
        Recording& recording = *files_[channels_[microphone].file];
        if (!recording.ended || recording.told) return;
        const FileSource& file = recording.file;
        const auto missing = static_cast<std::int64_t>(longest_s_ * file.sample_rate_hz()) - file.length();
        if (missing > 0) {
            station.lose(microphone, missing, GapCause::kUnplugged);
            if (in(ring, microphone)) ring->lose(microphone, missing);
        }
        recording.told = channels_[microphone].number + 1 == file.channels();
    }

    std::vector<std::unique_ptr<Recording>> files_;
    std::vector<Channel> channels_; // one a microphone
    std::vector<double> rates_hz_;
    double longest_s_ = 0.0;
    double round_end_s_ = 0.0;
};

// The files' hashes are a sixth of the work, and their result is needed only at the end: they go on beside
// the ears, on a thread of their own for every four jobs.
class Hashes {
  public:
    explicit Hashes(const std::vector<std::string>& paths, int jobs) : paths_(paths), hashes_(paths.size()) {
        jobs_ = std::clamp(jobs / 4, 1, static_cast<int>(std::min<std::size_t>(paths.size(), 1024)));
        const auto hash = [this](std::size_t i) { hashes_[i] = sha256_hex_of_file(paths_[i]); };
        const auto policy = jobs > 1 ? std::launch::async : std::launch::deferred;
        done_ = std::async(policy, [this, hash] { share_out(paths_.size(), jobs_, hash); });
    }

    // Threads that are at it now.
    int jobs() const {
        return done_.wait_for(std::chrono::seconds(0)) == std::future_status::timeout ? jobs_ : 0;
    }

    std::map<std::string, std::string> wait() {
        done_.get();
        std::map<std::string, std::string> named;
        for (std::size_t i = 0; i < paths_.size(); ++i)
            named["audio:" + std::filesystem::path(paths_[i]).filename().string()] = hashes_[i];
        return named;
    }

  private:
    std::vector<std::string> paths_;
    std::vector<std::string> hashes_;
    int jobs_ = 1;
    std::future<void> done_; // last: it waits for its thread before the rest goes
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

// The name that a running station gives to where the contact is wired.
std::string source_name_of(const ContactSettings& contact) {
    const auto address = contact_address_from(contact.input);
    return address ? source_of(*address) : contact.name;
}

void play(Recordings& recordings, const std::vector<ContactEdge>& edges, Station& station, ShiftBook& book,
          ScoredClips* clips, const std::optional<StationUtc>& start, int jobs, const Hashes& hashes) {
    ProgressLine progress("score", ProgressLine::Elsewhere::kNothing);
    auto edge = edges.begin();
    const auto give_edges_until = [&](double time_s) {
        for (; edge != edges.end() && edge->edge.time_s < time_s; ++edge) {
            station.take(edge->edge);
            book.on_edge(edge->edge);
        }
        station.contacts_known_until(time_s);
    };
    SoundRing* const ring = clips != nullptr ? &clips->ring() : nullptr;
    while (recordings.feed(station, ring, jobs - hashes.jobs())) {
        const double heard_s = recordings.heard_until_s();
        give_edges_until(heard_s);
        if (clips != nullptr) clips->turn(start);
        progress.show(static_cast<std::size_t>(heard_s), static_cast<std::size_t>(recordings.longest_s()),
                      "scoring");
    }
    for (; edge != edges.end(); ++edge) book.on_stray_edge(edge->edge, "after the end of the audio");
    station.finish();
    if (clips != nullptr) clips->finish(recordings.longest_s(), start);
}

// What people entered can't be made again by scoring again.
void keep_what_people_entered(const std::filesystem::path& store) {
    std::error_code ignored;
    if (!std::filesystem::exists(store, ignored)) return;
    const auto database = open_for_reading(store);
    if (schema_version_of(*database) != std::to_string(kSchemaVersion)) return;
    for (const auto& [table, words] :
         {std::pair("findings", "findings"), std::pair("cases", "cases"),
          std::pair("hand_audits", "hand audits"), std::pair("journal", "notes")}) {
        const std::int64_t count =
            database->execAndGet(std::string("SELECT count(*) FROM ") + table).getInt64();
        if (count == 0) continue;
        throw Failure(kExitUsage, "score: " + store.string() + " holds what people entered (" + words + ": " +
                                      std::to_string(count) + "); give --out another folder");
    }
}

} // namespace

void score(const ScoreOptions& options) {
    const std::optional<StationUtc> start = start_from(options.start);
    StationSettings settings = read_station_file(options.station);
    const auto profile = read_profile(settings.species, settings.profile);
    Recordings recordings(options.audio);
    check_channels(settings, recordings);
    recordings.set_clocks(settings.microphones);
    const ContactHistory contacts =
        contact_history_of(read_contacts_csv(options.contacts, settings), settings);
    RealFiles files;
    const std::filesystem::path out = options.out;
    prepare_output_folder(files, out);
    keep_what_people_entered(out / "shift.db");
    const std::filesystem::path calibrations =
        options.calibrations.empty() ? out / kCalibrationsFile : std::filesystem::path(options.calibrations);
    if (!options.calibrations.empty() && !std::filesystem::exists(calibrations)) {
        throw Failure(kExitUsage, "score: --calibrations " + options.calibrations +
                                      ": is not there; `quietpass calibrate` makes it");
    }
    const bool calibrated = use_calibrations(settings, read_calibrations(calibrations),
                                             start ? std::optional(start->utc_ns_at_zero) : std::nullopt);

    Provenance provenance = provenance_of(settings, profile ? &*profile : nullptr);
    if (calibrated) provenance.hashes["calibrations"] = sha256_hex_of_file(calibrations.string());
    provenance.hashes["contacts"] = sha256_hex_of_file(options.contacts);

    // The store is made aside and takes its name when it is whole.
    const StoreAside aside(out / ".shift.db.part");
    const std::filesystem::path& store_aside = aside.path;
    std::optional<ClipsAside> clips_aside;
    if (options.clips) clips_aside.emplace(out);
    std::vector<NamedBytes> written;
    {
        StoreWriter store{Store(store_aside)};
        ShiftBook book(settings, provenance, nullptr, store,
                       [&written](const ClosedShift& closed) { written = files_of(closed); });
        std::optional<ScoredClips> clips;
        if (clips_aside)
            clips.emplace(settings, recordings.rates_hz(), book, store, files, Store(store_aside),
                          *clips_aside);
        std::vector<StationEvents*> receivers = {&book};
        if (clips) receivers.push_back(&clips->events());
        EventFanOut events(receivers);
        Station station(settings, profile ? &profile->profile : nullptr, recordings.rates_hz(), events);
        const Separation separation = separation_of(settings);
        if (profile && separation.by != SeparatedBy::kLevelAndDelay) {
            std::fprintf(stderr, "score: %s\n", separation.note.c_str());
        }
        const int jobs = jobs_from(options.jobs);
        Hashes hashes(options.audio, jobs);
        book.begin(0.0, start);
        for (const ContactOutage& outage : contacts.outages) {
            station.lose_contacts(source_name_of(settings.contacts[outage.contact]), outage.start_s,
                                  std::min(outage.end_s, recordings.longest_s()));
        }
        play(recordings, contacts.edges, station, book, clips ? &*clips : nullptr, start, jobs, hashes);
        book.add_hashes(hashes.wait());
        book.finish(recordings.longest_s());
        if (!store.flush(std::chrono::minutes(1))) {
            const std::string error = store.state().error;
            throw Failure(kExitFailure, store_aside.string() + ": can't be written (" + error +
                                            "); free the disk and score again");
        }
    }
    write_whole(files, out, written);
    if (clips_aside) clips_aside->keep(files);
    files.rename(store_aside, out / "shift.db");
    files.sync_folder(out);
}

} // namespace quietpass
