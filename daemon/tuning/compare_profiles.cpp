#include "daemon/tuning/compare_profiles.h"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <optional>

#include "classifiers/profile_text.h"
#include "classifiers/scorecard.h"
#include "classifiers/sound_finder.h"
#include "classifiers/tuning/profile_contrast.h"
#include "classifiers/tuning/text_columns.h"
#include "daemon/capture/file_source.h"
#include "daemon/failure.h"
#include "daemon/file_calls.h"

namespace quietpass {
namespace {

Profile profile_in(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    if (!in) throw Failure(kExitFailure, "profile " + file + ": can't be read; name a profile file");
    const std::string text{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    try {
        return profile_from_toml(text);
    } catch (const ProfileError& error) {
        throw Failure(kExitUsage, file + ":" + std::to_string(error.line) + ": " +
                                      (error.key.empty() ? "" : error.key + ": ") + error.expected);
    }
}

// A sound and the points that a profile's first card gives it, called or not.
struct ScoredSound {
    double start_s = 0.0;
    double end_s = 0.0;
    double score = 0.0;
};

std::vector<ScoredSound> scored_sounds(const std::string& path, const Profile& profile) {
    FileSource file(path);
    std::vector<SoundFinder> finders;
    for (int channel = 0; channel < file.channels(); ++channel)
        finders.emplace_back(file.sample_rate_hz(), profile.segments);
    std::vector<ScoredSound> out;
    const auto drain = [&](SoundFinder& finder) {
        Sound sound;
        while (finder.take(sound)) {
            if (within_gates(profile.cards[0], sound.measures))
                out.push_back({sound.start_s, sound.end_s, score_of(profile.cards[0], sound.measures)});
        }
    };
    Stretch stretch;
    while (file.next(stretch) && stretch.kind != Stretch::Kind::kEnd) {
        for (int channel = 0; channel < file.channels(); ++channel) {
            SoundFinder& finder = finders[static_cast<std::size_t>(channel)];
            finder.process(stretch.channel(channel));
            drain(finder);
        }
    }
    for (SoundFinder& finder : finders) {
        finder.finish();
        drain(finder);
    }
    return out;
}

struct Difference {
    std::string file;
    HeardCall call;
    std::optional<double> other_score; // nothing: the other profile found no sound there
};

struct Side {
    Profile profile;
    std::string file;
    std::vector<Difference> only;
    tuning::KnownFigures known;
    int calls = 0;
};

std::vector<HeardCall> heard_by(const Side& side, const std::string& file) {
    try {
        return calls_in_file(file, side.profile);
    } catch (const std::invalid_argument& error) {
        throw Failure(kExitFailure, file + ": can't be heard (" + error.what() + ")");
    }
}

void add_differences(const ComparedFile& file, const std::vector<HeardCall>& calls, const Profile& other,
                     std::vector<Difference>& out) {
    if (calls.empty()) return;
    const std::vector<ScoredSound> sounds = scored_sounds(file.file, other);
    for (const HeardCall& call : calls) {
        Difference difference{file.shown, call, std::nullopt};
        for (const ScoredSound& sound : sounds) {
            if (sound.start_s >= call.end_s || call.start_s >= sound.end_s) continue;
            difference.other_score = std::max(difference.other_score.value_or(sound.score), sound.score);
        }
        out.push_back(std::move(difference));
    }
}

std::string differences_text(const Side& side, const Side& other, const char* name, bool first) {
    if (side.only.empty()) return tuning::printed("\nOnly %s hears: nothing\n", name);
    std::string out = tuning::printed("\nOnly %s hears (a call from %.2f points; the other: from %.2f)\n",
                                      name, side.profile.cards[0].cut, other.profile.cards[0].cut);
    out += "  file                                  start_s     end_s  kind      old     new\n";
    for (const Difference& difference : side.only) {
        const std::string own = tuning::printed("%7.2f", difference.call.score);
        const std::string others =
            difference.other_score ? tuning::printed("%7.2f", *difference.other_score) : "      –";
        // The end of a long name says more than its start.
        std::string shown = difference.file;
        constexpr std::size_t kWide = 34;
        if (tuning::columns_of(shown) > kWide) {
            std::size_t from = shown.size() - (kWide - 1);
            while (from < shown.size() && (static_cast<unsigned char>(shown[from]) & 0xC0) == 0x80) ++from;
            shown = "…" + shown.substr(from);
        }
        out += "  " + tuning::in_columns(shown, kWide) +
               tuning::printed(" %9.2f %9.2f  %-6s", difference.call.start_s, difference.call.end_s,
                               std::string(name_of(difference.call.kind)).c_str());
        out += first ? own + " " + others : others + " " + own;
        out += "\n";
    }
    return out + "  –: found no sound there\n";
}

std::string share_text(int count, int of) {
    return of > 0 ? tuning::printed("%5d of %5d %5.1f %%", count, of, 100.0 * count / of)
                  : "            none";
}

std::string known_text(const Side& first, const Side& second) {
    std::string out = "\nAgainst what is labelled              old                    new\n";
    const auto row = [&](const char* what, const std::string& a, const std::string& b) {
        out += "  " + tuning::in_columns(what, 30) + tuning::in_columns(a, 23) + b + "\n";
    };
    const tuning::KnownFigures& a = first.known;
    const tuning::KnownFigures& b = second.known;
    row("calls that it hears", share_text(a.found, a.calls), share_text(b.found, b.calls));
    row("other sounds taken for calls", share_text(a.others_called, a.others),
        share_text(b.others_called, b.others));
    std::map<std::string, std::pair<int, int>> kinds;
    for (const auto& [kind, count] : a.called_by) kinds[kind].first = count;
    for (const auto& [kind, count] : b.called_by) kinds[kind].second = count;
    for (const auto& [kind, counts] : kinds) {
        row(("  " + kind).c_str(), tuning::printed("%5d", counts.first),
            tuning::printed("%5d", counts.second));
    }
    row("calls where none is labelled", tuning::printed("%5d", a.unknown), tuning::printed("%5d", b.unknown));
    return out + "  A profile trained on these recordings does better on them than on others.\n";
}

std::string side_text(const char* name, const Side& side) {
    return tuning::wrapped(
        tuning::printed("%s  %s: %s, %zu terms, %d calls", name, side.file.c_str(),
                        side.profile.version.c_str(), side.profile.cards[0].terms.size(), side.calls),
        5);
}

} // namespace

std::string compare_profiles(const std::string& first_file, const std::string& second_file,
                             const std::vector<ComparedFile>& files,
                             const std::function<void(std::size_t done)>& progress) {
    Side first{profile_in(first_file), first_file, {}, {}, 0};
    Side second{profile_in(second_file), second_file, {}, {}, 0};
    if (first.profile.species != second.profile.species) {
        throw Failure(kExitUsage, "tune: " + first_file + " is for " +
                                      std::string(name_of(first.profile.species)) + ", " + second_file +
                                      " for " + std::string(name_of(second.profile.species)) +
                                      "; compare profiles of one species");
    }
    int both = 0;
    std::size_t different = 0;
    std::size_t labelled = 0;
    for (std::size_t i = 0; i < files.size(); ++i) {
        progress(i);
        const ComparedFile& file = files[i];
        const std::vector<HeardCall> old_calls = heard_by(first, file.file);
        const std::vector<HeardCall> new_calls = heard_by(second, file.file);
        const tuning::Contrast contrast = tuning::contrast(old_calls, new_calls);
        both += contrast.both;
        const auto counted = [](const HeardCall& call) { return can_count(call.kind); };
        first.calls += static_cast<int>(std::ranges::count_if(old_calls, counted));
        second.calls += static_cast<int>(std::ranges::count_if(new_calls, counted));
        different += contrast.only_first.empty() && contrast.only_second.empty() ? 0 : 1;
        add_differences(file, contrast.only_first, second.profile, first.only);
        add_differences(file, contrast.only_second, first.profile, second.only);
        if (!file.labelled) continue;
        ++labelled;
        tuning::count_known(file.known, file.kind, old_calls, first.known);
        tuning::count_known(file.known, file.kind, new_calls, second.known);
    }
    progress(files.size());
    std::string out = side_text("old", first) + side_text("new", second);
    out += tuning::printed(
        "%zu files, %zu of them heard differently: both hear %d calls, only the old %zu, only the "
        "new %zu\n",
        files.size(), different, both, first.only.size(), second.only.size());
    if (labelled > 0) out += known_text(first, second);
    return out + differences_text(first, second, "the old", true) +
           differences_text(second, first, "the new", false);
}

} // namespace quietpass
