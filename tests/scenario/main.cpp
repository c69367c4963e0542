// scenario-builder: makes a shift (audio, contacts, truth) from a scenario file and recordings.
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <exception>
#include <string>

#include "daemon/failure.h"
#include "tests/scenario/builder.h"
#include "tests/scenario/scenario_file.h"

namespace {

struct Arguments {
    std::string scenario;
    std::string recordings;
    std::string manifest;
    std::string labels;
    quietpass::scenario::BuildOptions build;
    std::string fold;
    long seed = -1;
};

// "2/5": only recordings of fold 2 of 5, whatever the scenario says.
void take_fold(const std::string& text, quietpass::scenario::Scenario& scenario) {
    quietpass::scenario::Fold fold;
    char rest = 0;
    if (std::sscanf(text.c_str(), "%d/%d%c", &fold.number, &fold.of, &rest) != 2 || fold.of < 2 ||
        fold.number < 0 || fold.number >= fold.of) {
        throw quietpass::Failure(quietpass::kExitUsage,
                                 "--fold: expected a fold and their number, as in 2/5, found " + text);
    }
    scenario.selection.fold = fold;
    for (auto& [name, selection] : scenario.class_selection) selection.fold = fold;
}

int build(const Arguments& arguments) {
    quietpass::scenario::Scenario scenario = quietpass::scenario::read_scenario(arguments.scenario);
    if (!arguments.recordings.empty()) {
        scenario.recordings_folder = arguments.recordings;
        scenario.manifest.clear();
    }
    if (!arguments.manifest.empty()) scenario.manifest = arguments.manifest;
    if (!arguments.labels.empty()) scenario.labels = arguments.labels;
    if (!arguments.fold.empty()) take_fold(arguments.fold, scenario);
    if (arguments.seed >= 0) scenario.seed = static_cast<std::uint64_t>(arguments.seed);
    quietpass::scenario::BuildOptions options = arguments.build;
    const bool on_terminal = isatty(STDERR_FILENO) != 0;
    int shown = -1;
    if (on_terminal) {
        options.progress = [&shown](double share) {
            const int percent = static_cast<int>(share * 100.0);
            if (percent == shown) return;
            shown = percent;
            std::fprintf(stderr, "\r%3d %%", percent);
        };
    }
    const quietpass::scenario::BuildSummary made = quietpass::scenario::build(scenario, options);
    if (on_terminal) std::fprintf(stderr, "\r      \r");
    std::printf("%s: %.1f s, %d passages, %d vocal, %d calls (%d counted), %lld samples at full scale\n",
                options.out_folder.c_str(), made.length_s, made.passages, made.vocal_passages, made.calls,
                made.counted_calls, static_cast<long long>(made.clipped_samples));
    return 0;
}

} // namespace

int main(int argc, char** argv) {
    Arguments arguments;
    CLI::App app("Makes a shift (audio.wav, contacts.csv, truth*.csv) from a scenario file and recordings.",
                 "scenario-builder");
    app.add_option("scenario", arguments.scenario, "scenario file (TOML)")->required();
    app.add_option("--out", arguments.build.out_folder, "folder for what is made")->required();
    app.add_option("--recordings", arguments.recordings, "folder of recordings, in place of the scenario's");
    app.add_option("--manifest", arguments.manifest,
                   "manifest (TSV); else MANIFEST.tsv in the recordings' folder or beside it");
    app.add_option(
        "--labels", arguments.labels,
        "which parts of the recordings are calls (TSV); else labels/calls.tsv beside the manifest");
    app.add_option("--fold", arguments.fold, "USE/OF, as 2/5: only recordings of this fold of every class");
    app.add_option("--seed", arguments.seed, "in place of the scenario's seed")
        ->check(CLI::Range(0L, 2147483647L));
    app.add_flag("--stems", arguments.build.stems, "also write bed.wav and calls.wav, what was mixed, apart");
    try {
        app.parse(argc, argv);
    } catch (const CLI::CallForHelp& help) {
        return app.exit(help);
    } catch (const CLI::ParseError& error) {
        std::fprintf(stderr, "scenario-builder: %s: see scenario-builder --help\n", error.what());
        return quietpass::kExitUsage;
    }
    try {
        return build(arguments);
    } catch (const quietpass::Failure& failure) {
        std::fprintf(stderr, "scenario-builder: %s\n", failure.what());
        return failure.exit_code();
    } catch (const std::exception& error) {
        std::fprintf(stderr, "scenario-builder: %s: please report it with the scenario file\n", error.what());
        return quietpass::kExitFailure;
    }
}
