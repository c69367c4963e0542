#include "daemon/tuning/tune_options.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <memory>

#include "classifiers/tuning/species_defaults.h"
#include "daemon/failure.h"
#include "daemon/tables/wrapped_help.h"

namespace quietpass {
namespace {

constexpr std::size_t kNameColumns = 26;

} // namespace

std::optional<TuneOptions> read_tune_options(int argc, char** argv) {
    TuneOptions options;
    std::string species = "cattle";
    tuning::TrainingSettings& training = options.tuning.training;
    tuning::CorpusPlan& corpus = options.tuning.corpus;
    std::optional<double> false_alarms_percent;

    CLI::App app(
        "Trains a profile from labelled recordings: mixes them into simulated shifts, hears those with the "
        "shipped ears, boosts a scorecard, checks it on recordings it was not trained on, and writes profile "
        "and report. Also compares two profiles on the same audio, and goes back to an earlier one.",
        "quietpass tune");
    double vocal_percent = 100 * options.tuning.vocal_share;
    std::string history;
    std::string go_back;
    int to = 0;
    app.formatter(std::make_shared<WrappedHelp>(kNameColumns));

    const CLI::Option* species_given =
        app.add_option("--species", species, "cattle or pig")->check(CLI::IsMember({"cattle", "pig"}));
    app.add_option(
        "--clips", options.clips,
        "folder of labelled clips, with a MANIFEST.tsv or one sub-folder a class (cattle, pig_squeal, "
        "pig_grunt, speech, metal …); may be given more than once");
    app.add_option("--findings", options.findings,
                   "table of file, start_s, end_s, finding (call, not_call, grunt, unsure): a plant's own "
                   "recordings, beside --clips or alone; may be given more than once");
    app.add_option("--manifest", options.manifest,
                   "manifest to use in place of the first folder's MANIFEST.tsv");
    app.add_option("--labels", options.labels,
                   "spans (path, start_s, end_s, label; tab-separated) for clips that hold more than their "
                   "class; may be "
                   "given more than once");
    app.add_option("--out", options.out, "profile to write; one that is there is kept as FILE.1, .2 …");
    app.add_option("--report", options.report, "write the report to this file too");
    app.add_option("--seed", corpus.seed, "of all that is drawn by lot; the same seed gives the same profile")
        ->capture_default_str();
    app.add_option("--folds", corpus.folds,
                   "within each class recordings sorted by name, the i-th goes to fold i mod this")
        ->capture_default_str()
        ->check(CLI::Range(2, 20));
    app.add_option("--leave-out", corpus.leave_out,
                   "never hear this fold: for a check with recordings not trained on");
    app.add_option(
        "--each-fold", options.each_fold,
        "folder: write a profile for each fold too, never trained on that fold, as SPECIES-FOLD.toml");
    app.add_option("--terms", training.terms, "most terms of the scorecard")
        ->capture_default_str()
        ->check(CLI::Range(5, 400));
    app.add_option("--conditions", training.depth, "most conditions a term")
        ->capture_default_str()
        ->check(CLI::Range(1, 3));
    app.add_option("--false-alarms", false_alarms_percent,
                   "percent of quiet simulated passages that may be judged vocal; sets the cut (default: "
                   "cattle 2.5, pig 6)")
        ->check(CLI::Range(0.0, 20.0));
    app.add_option("--vocal-share", vocal_percent,
                   "percent of a plant's passages that are vocal; the report's precision is for that")
        ->capture_default_str()
        ->check(CLI::Range(0.1, 90.0));
    app.add_option("--size", corpus.size, "how much is simulated, against the usual")
        ->capture_default_str()
        ->check(CLI::Range(0.02, 20.0));
    app.add_flag("--quiet", options.quiet, "no progress");
    const CLI::Option* compare_given =
        app.add_option("--compare", options.compare,
                       "print what two profiles make of --audio, --clips or --findings, with figures where "
                       "--labels or findings say what is what")
            ->type_name("OLD NEW")
            ->expected(2)
            ->group("Compare two profiles");
    app.add_option("--audio", options.audio, "audio files to compare on")
        ->expected(1, -1)
        ->group("Compare two profiles");
    const CLI::Option* history_given =
        app.add_option("--history", history, "list the profiles that stood under this name before")
            ->type_name("PROFILE")
            ->group("Earlier profiles");
    const CLI::Option* back_given =
        app.add_option("--go-back", go_back,
                       "put the earlier profile back under this name; the present one is kept")
            ->type_name("PROFILE")
            ->group("Earlier profiles");
    const CLI::Option* to_given =
        app.add_option("--to", to, "with --go-back: the profile FILE.N in place of the one before")
            ->type_name("N")
            ->check(CLI::Range(1, 1000000).description(""))
            ->group("Earlier profiles");

    try {
        app.parse(argc, argv);
    } catch (const CLI::CallForHelp&) {
        std::fputs(app.help().c_str(), stdout);
        return std::nullopt;
    } catch (const CLI::ParseError& error) {
        std::string line = error.what();
        std::replace(line.begin(), line.end(), '\n', ' ');
        throw Failure(kExitUsage, "tune: " + line + "; see quietpass tune --help");
    }
    const auto wrong = [](const std::string& what) {
        return Failure(kExitUsage, "tune: " + what + "; see quietpass tune --help");
    };
    const auto asked = [](const CLI::Option* option) { return option->count() > 0 ? 1 : 0; }; // counts values
    if (asked(compare_given) + asked(history_given) + asked(back_given) > 1)
        throw wrong("--compare, --history and --go-back are three tasks, ask for one at a time");
    if (to_given->count() > 0 && back_given->count() == 0) throw wrong("--to goes with --go-back");
    if (compare_given->count() > 0) {
        options.task = TuneTask::kCompare;
        if (options.audio.empty() && options.clips.empty() && options.findings.empty())
            throw wrong("--compare needs --audio, --clips or --findings");
        return options;
    }
    if (!options.audio.empty()) throw wrong("--audio goes with --compare");
    if (history_given->count() + back_given->count() > 0) {
        const bool back = back_given->count() > 0;
        options.task = back ? TuneTask::kGoBack : TuneTask::kHistory;
        options.profile = back ? go_back : history;
        if (to_given->count() > 0) options.to = to;
        return options;
    }
    if (species_given->count() == 0) throw wrong("--species is required");
    if (options.clips.empty() && options.findings.empty()) throw wrong("--clips or --findings is required");
    if (options.out.empty()) throw wrong("--out is required");
    if (corpus.leave_out >= corpus.folds) {
        throw Failure(kExitUsage,
                      "tune: --leave-out must be under --folds (" + std::to_string(corpus.folds) + ")");
    }
    options.tuning.vocal_share = vocal_percent / 100;
    training.seed = corpus.seed;
    corpus.species = *species_from(species);
    options.tuning.most_false_alarms =
        false_alarms_percent ? *false_alarms_percent / 100 : tuning::false_alarms_for(corpus.species);
    options.tuning.segments = tuning::segments_for(corpus.species);
    return options;
}

} // namespace quietpass
