#include "daemon/commands/detect_command.h"

#include <algorithm>
#include <cstdio>
#include <vector>

#include "daemon/failure.h"
#include "daemon/file_calls.h"
#include "daemon/profile_file.h"

namespace quietpass {

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
            for (const HeardCall& call : calls_in_file(path, profile.profile)) {
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
