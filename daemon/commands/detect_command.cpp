#include "daemon/commands/detect_command.h"

#include <algorithm>
#include <cstdio>
#include <vector>

#include "classifiers/ear.h"
#include "daemon/capture/file_source.h"
#include "daemon/failure.h"
#include "daemon/profile_file.h"

namespace quietpass {

namespace {

void drain(Ear& ear, std::vector<HeardCall>& calls) {
    HeardCall call;
    while (ear.take(call)) calls.push_back(std::move(call));
}

// The same call on another channel: they overlap. The clearer one stays.
void merge(std::vector<HeardCall>& calls) {
    std::stable_sort(calls.begin(), calls.end(),
                     [](const HeardCall& a, const HeardCall& b) { return a.start_s < b.start_s; });
    std::vector<HeardCall> kept;
    for (HeardCall& call : calls) {
        if (kept.empty() || call.start_s >= kept.back().end_s) {
            kept.push_back(std::move(call));
        } else if (call.score > kept.back().score) {
            kept.back() = std::move(call);
        }
    }
    calls = std::move(kept);
}

std::vector<HeardCall> calls_in(const std::string& path, const Profile& profile) {
    FileSource file(path);
    std::vector<Ear> ears;
    for (int channel = 0; channel < file.channels(); ++channel)
        ears.emplace_back(file.sample_rate_hz(), profile);
    std::vector<HeardCall> calls;
    Stretch stretch;
    while (file.next(stretch) && stretch.kind != Stretch::Kind::kEnd) {
        for (int channel = 0; channel < file.channels(); ++channel) {
            Ear& ear = ears[static_cast<std::size_t>(channel)];
            ear.process(stretch.channel(channel));
            drain(ear, calls);
        }
    }
    for (Ear& ear : ears) {
        ear.finish();
        drain(ear, calls);
    }
    if (ears.size() > 1) merge(calls);
    return calls;
}

} // namespace

void detect(const DetectOptions& options) {
    const auto species = species_from(options.species);
    if (!species || *species == Species::kSheep) {
        throw Failure(
            kExitUsage,
            "detect: --species " + options.species + ": expected cattle or pig" +
                (species ? "; sheep call to each other when nothing is wrong and are never judged" : ""));
    }
    const ProfileFile profile = *read_profile(*species, options.profile);
    std::puts("file\tstart_s\tend_s\tkind\tscore");
    int worst = 0;
    for (const std::string& path : options.files) {
        try {
            for (const HeardCall& call : calls_in(path, profile.profile)) {
                std::printf("%s\t%.3f\t%.3f\t%s\t%.2f\n", path.c_str(), call.start_s, call.end_s,
                            std::string(name_of(call.kind)).c_str(), call.score);
            }
        } catch (const Failure& failure) {
            // The other files are still worth reading.
            std::fflush(stdout);
            std::fprintf(stderr, "quietpass: %s\n", failure.what());
            worst = std::max(worst, failure.exit_code());
        }
    }
    if (worst != 0) {
        throw Failure(worst, "detect: not every file could be read; the lines above say which");
    }
}

} // namespace quietpass
