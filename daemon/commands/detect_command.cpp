#include "daemon/commands/detect_command.h"

#include <algorithm>
#include <cstdio>
#include <optional>
#include <vector>

#include "daemon/failure.h"
#include "daemon/file_calls.h"
#include "daemon/profile_file.h"
#include "daemon/share_out.h"

namespace quietpass {

namespace {

struct Heard {
    std::vector<HeardCall> calls;
    std::optional<Failure> failure;
};

Heard hear(const std::string& path, const Profile& profile, int jobs) {
    Heard heard;
    try {
        heard.calls = calls_in_file(path, profile, jobs);
    } catch (const Failure& failure) {
        heard.failure = failure; // the other files are still worth reading
    }
    return heard;
}

void print(const std::string& path, const Heard& heard) {
    for (const HeardCall& call : heard.calls) {
        std::printf("%s\t%.3f\t%.3f\t%s\t%.2f\n", path.c_str(), call.start_s, call.end_s,
                    std::string(name_of(call.kind)).c_str(), call.score);
    }
    if (!heard.failure) return;
    std::fflush(stdout);
    std::fprintf(stderr, "quietpass: %s\n", heard.failure->what());
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
    const int jobs = jobs_from(options.jobs);
    const auto files = static_cast<int>(std::min<std::size_t>(options.files.size(), 1024));
    const int jobs_a_file = std::max(1, jobs / std::max(1, files));
    std::vector<Heard> heard(options.files.size());
    std::vector<bool> done(heard.size(), false); // this and what follows: one finished() at a time
    std::size_t printed = 0;
    int worst = 0;
    share_out(
        options.files.size(), jobs,
        [&](std::size_t i) { heard[i] = hear(options.files[i], profile.profile, jobs_a_file); },
        [&](std::size_t i) {
            done[i] = true;
            for (; printed < heard.size() && done[printed]; ++printed) {
                print(options.files[printed], heard[printed]);
                if (heard[printed].failure) worst = std::max(worst, heard[printed].failure->exit_code());
                heard[printed].calls = {};
            }
        });
    if (worst != 0) {
        throw Failure(worst, "detect: not every file could be read; the lines above say which");
    }
}

} // namespace quietpass
