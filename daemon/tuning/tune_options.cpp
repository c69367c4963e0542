#include "daemon/tuning/tune_options.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>

#include "classifiers/tuning/species_defaults.h"
#include "daemon/failure.h"

namespace quietpass {

std::optional<TuneOptions> read_tune_options(int argc, char** argv) {
    TuneOptions options;
    std::string species = "cattle";
    tuning::TrainingSettings& training = options.tuning.training;
    tuning::CorpusPlan& corpus = options.tuning.corpus;
    std::optional<double> false_alarms_percent;
    std::optional<int> conditions;

    CLI::App app(
        "Trains a profile from labelled recordings: mixes them into simulated shifts, hears those with the "
        "shipped "
        "ears, boosts a scorecard, checks it on recordings it was not trained on, and writes profile and "
        "report.",
        "quietpass tune");
    app.add_option("--species", species, "cattle or pig")
        ->required()
        ->check(CLI::IsMember({"cattle", "pig"}));
    app.add_option(
           "--clips", options.clips,
           "folder of labelled clips, with a MANIFEST.tsv or one sub-folder a class (cattle, pig_squeal, "
           "pig_grunt, speech, metal …); may be given more than once")
        ->required();
    app.add_option("--manifest", options.manifest,
                   "manifest to use in place of the first folder's MANIFEST.tsv");
    app.add_option("--labels", options.labels,
                   "spans (path, start_s, end_s, label; tab-separated) for clips that hold more than their "
                   "class; may be "
                   "given more than once");
    app.add_option("--out", options.out, "profile to write; one that is there is kept as FILE.old")
        ->required();
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
    app.add_option("--conditions", conditions, "most conditions a term (default: cattle 1, pig 2)")
        ->check(CLI::Range(1, 3));
    app.add_option("--false-alarms", false_alarms_percent,
                   "percent of quiet simulated passages that may be judged vocal; sets the cut (default: "
                   "cattle 2, pig 4)")
        ->check(CLI::Range(0.0, 20.0));
    app.add_option("--size", corpus.size, "how much is simulated, against the usual")
        ->capture_default_str()
        ->check(CLI::Range(0.02, 20.0));
    app.add_flag("--quiet", options.quiet, "no progress");

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
    if (corpus.leave_out >= corpus.folds) {
        throw Failure(kExitUsage,
                      "tune: --leave-out must be under --folds (" + std::to_string(corpus.folds) + ")");
    }
    training.seed = corpus.seed;
    corpus.species = *species_from(species);
    training.depth = conditions.value_or(tuning::conditions_for(corpus.species));
    options.tuning.most_false_alarms =
        false_alarms_percent ? *false_alarms_percent / 100 : tuning::false_alarms_for(corpus.species);
    options.tuning.segments = tuning::segments_for(corpus.species);
    return options;
}

} // namespace quietpass
