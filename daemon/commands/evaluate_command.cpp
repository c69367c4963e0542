#include "daemon/commands/evaluate_command.h"

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <optional>

#include "classifiers/evaluation/passage_figures.h"
#include "daemon/evaluation/clip_judging.h"
#include "daemon/evaluation/evaluation.h"
#include "daemon/evaluation/evaluation_csv.h"
#include "daemon/evaluation/evaluation_json.h"
#include "daemon/evaluation/evaluation_table.h"
#include "daemon/evaluation/known_rates.h"
#include "daemon/evaluation/shift_truth.h"
#include "daemon/failure.h"
#include "daemon/profile_file.h"
#include "daemon/progress_line.h"
#include "daemon/records/files.h"
#include "daemon/share_out.h"

namespace quietpass {

namespace {

using evaluation::ShiftEvents;

[[noreturn]] void usage(const std::string& what) {
    throw Failure(kExitUsage, "evaluate: " + what);
}

void check(const EvaluateOptions& options) {
    if (options.shifts.empty() && options.clips.empty())
        usage("name scored shifts with --shift, labelled clips with --clips, or both");
    if (!options.truth.empty() && options.shifts.size() != 1)
        usage("--truth goes with exactly one --shift; else put each truth.csv beside its shift");
    if (!options.clips.empty() && options.species.empty()) usage("--clips needs --species: cattle or pig");
    if (!options.profile.empty() && !options.of_folds.empty())
        usage("--profile and --profile-of-fold exclude each other");
    if (options.of_folds.size() == 1)
        usage(
            "--profile-of-fold needs one profile a fold, separated by commas; for a single one use "
            "--profile");
}

void append(std::vector<evaluation::FigureRow>& to, const std::vector<evaluation::FigureRow>& rows) {
    to.insert(to.end(), rows.begin(), rows.end());
}

void evaluate_shifts(const EvaluateOptions& options, Evaluation& out) {
    std::vector<ShiftEvents> events;
    for (const std::string& folder : options.shifts) {
        if (std::find(out.shifts.begin(), out.shifts.end(), folder) != out.shifts.end())
            usage("--shift " + folder + " is named twice");
        ShiftTruth shift = read_shift_truth(folder, options.truth, options.entry_within_s);
        out.shifts.push_back(folder);
        out.passages.insert(out.passages.end(), shift.passages.begin(), shift.passages.end());
        if (!shift.species.empty()) {
            if (!out.species.empty() && out.species != shift.species)
                usage("--shift " + folder + " is of " + shift.species + ", the others of " + out.species +
                      "; evaluate each species by itself");
            out.species = shift.species;
        }
        if (shift.events) events.push_back(std::move(*shift.events));
    }
    append(out.figures, passage_figures(out.passages, out.bootstrap));
    if (!events.empty()) append(out.figures, event_figures(events, out.bootstrap));
    out.confounders = evaluation::confounders_of(events, out.bootstrap.confidence);
    std::optional<evaluation::KnownRates> known;
    if (!options.rates.empty()) known = read_known_rates(options.rates);
    out.rates_from = known ? options.rates : options.shifts.size() > 1 ? "the rates of the other shifts" : "";
    out.shares = share_rows(out.passages, known, out.bootstrap.confidence);
}

std::vector<Profile> profiles_for(const EvaluateOptions& options, Species species, Evaluation& out) {
    std::vector<std::string> paths = options.of_folds;
    if (paths.empty()) paths.push_back(options.profile);
    std::vector<Profile> profiles;
    for (const std::string& path : paths) {
        const auto file = read_profile(species, path);
        out.profiles.push_back({file->path, file->sha256});
        profiles.push_back(file->profile);
    }
    return profiles;
}

void evaluate_clips(const EvaluateOptions& options, Evaluation& out) {
    const auto species = species_from(options.species);
    if (!species || *species == Species::kSheep)
        usage("--species " + options.species + ": expected cattle or pig");
    if (!out.species.empty() && out.species != options.species)
        usage("--species " + options.species + ": the shifts are of " + out.species);
    out.species = options.species;
    out.clips = options.clips;
    const std::vector<Profile> profiles = profiles_for(options, *species, out);
    std::vector<ManifestEntry> entries = options.manifest.empty()
                                             ? entries_of_folder(options.clips)
                                             : read_manifest(options.manifest, options.clips);
    number_folds(entries, static_cast<int>(profiles.size()));
    SpanLabels labels;
    for (const std::string& file : options.labels) labels.merge(read_labels(file));

    ProgressLine progress("evaluate", ProgressLine::Elsewhere::kNothing);
    ClipJudging judging =
        judge_clips(entries, labels, profiles, jobs_from(options.jobs),
                    [&](std::size_t done) { progress.show(done, entries.size(), "hearing clips"); });
    append(out.figures, clip_figures(judging.clips, out.bootstrap));
    evaluation::FigureRow calls = event_figures(judging.events, out.bootstrap).front();
    calls.unit = "clip_event";
    out.figures.push_back(calls);
    out.classes = class_rows(judging.clips, out.bootstrap.confidence);
    out.judged_clips = std::move(judging.clips);
}

} // namespace

void evaluate(const EvaluateOptions& options) {
    check(options);
    RealFiles files;
    if (!options.out.empty()) prepare_output_folder(files, options.out);
    Evaluation out;
    out.bootstrap.seed = options.seed;
    if (!options.shifts.empty()) evaluate_shifts(options, out);
    if (!options.clips.empty()) evaluate_clips(options, out);
    std::fputs(evaluation_table(out).c_str(), stdout);
    if (options.out.empty()) return;
    std::vector<NamedBytes> written = evaluation_csv(out);
    written.push_back({"evaluation.json", evaluation_json(out)});
    write_whole(files, options.out, written);
}

} // namespace quietpass
