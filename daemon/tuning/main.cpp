// quietpass-tune: labelled recordings in, a profile and its report out. A program of its own, so that the
// daemon never loads the training library.
#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <iterator>
#include <stdexcept>

#include "classifiers/plain_words.h"
#include "classifiers/profile_text.h"
#include "classifiers/tuning/tuning_report.h"
#include "daemon/failure.h"
#include "daemon/progress_line.h"
#include "daemon/tuning/clip_reader.h"
#include "daemon/tuning/compare_profiles.h"
#include "daemon/tuning/compared_files.h"
#include "daemon/tuning/findings.h"
#include "daemon/tuning/history_text.h"
#include "daemon/tuning/manifest.h"
#include "daemon/tuning/profile_writer.h"
#include "daemon/tuning/tune_options.h"

namespace quietpass {
namespace {

std::vector<tuning::Clip> corpus_of(const TuneOptions& options, ProgressLine& progress) {
    std::vector<ManifestEntry> entries;
    for (std::size_t i = 0; i < options.clips.size(); ++i) {
        const std::vector<ManifestEntry> more = i == 0 && !options.manifest.empty()
                                                    ? read_manifest(options.manifest, options.clips[0])
                                                    : entries_of_folder(options.clips[i]);
        entries.insert(entries.end(), more.begin(), more.end());
    }
    number_folds(entries, options.tuning.corpus.folds);
    SpanLabels labels;
    for (const std::string& file : options.labels) labels.merge(read_labels(file));
    std::vector<tuning::Clip> clips = read_clips(
        entries, labels, [&](std::size_t done) { progress.show(done, entries.size(), "reading clips"); });
    std::vector<Finding> findings;
    for (const std::string& file : options.findings) {
        const std::vector<Finding> more = read_findings(file);
        findings.insert(findings.end(), more.begin(), more.end());
    }
    // In folds of their own, so that those of the clips stay what their manifest alone says.
    std::vector<tuning::Clip> found =
        clips_of(findings, options.tuning.corpus.species, options.tuning.corpus.folds,
                 [&](std::size_t done) { progress.show(done, findings.size(), "reading findings"); });
    std::move(found.begin(), found.end(), std::back_inserter(clips));
    return clips;
}

// Profiles to check with: each never heard its fold's recordings.
void write_each_fold(tuning::TuningResult& result, const TuneOptions& options) {
    std::filesystem::create_directories(options.each_fold);
    for (std::size_t fold = 0; fold < result.fold_profiles.size(); ++fold) {
        Profile& profile = result.fold_profiles[fold];
        profile.version =
            "seed " + std::to_string(options.tuning.corpus.seed) + ", without fold " + std::to_string(fold);
        profile.about = "To check with: never trained on fold " + std::to_string(fold) + ".";
        const std::string name = std::string(name_of(profile.species)) + "-" + std::to_string(fold) + ".toml";
        write_whole(std::filesystem::path(options.each_fold) / name, profile_to_toml(profile), false);
    }
}

void train(const TuneOptions& options) {
    ProgressLine progress("tune", ProgressLine::Elsewhere::kLines, options.quiet);
    const std::vector<tuning::Clip> clips = corpus_of(options, progress);
    tuning::TuningResult result;
    try {
        const tuning::Progress show = [&](std::size_t done, std::size_t all, const std::string& what) {
            progress.show(done, all, what);
        };
        const std::vector<tuning::CorpusStream> heard =
            tuning::hear_corpus(clips, options.tuning.corpus, options.tuning.segments, show);
        result = tuning::tune_heard(heard, options.tuning, show);
    } catch (const std::invalid_argument& error) {
        throw Failure(kExitFailure,
                      std::string("tune: ") + error.what() + "; add recordings or lower --folds");
    }
    // A person reads it subject by subject.
    arrange_by_subject(result.profile.cards.front(), result.gains);
    result.profile.version = "seed " + std::to_string(options.tuning.corpus.seed);
    result.profile.about = tuning::about_of(result);
    const std::string report = tuning::report_of(result, options.tuning);
    if (!options.each_fold.empty()) write_each_fold(result, options);
    if (!options.report.empty()) write_whole(options.report, report, false);
    write_whole(options.out, profile_to_toml(result.profile), true);
    std::fputs(report.c_str(), stdout);
}

void run(const TuneOptions& options) {
    switch (options.task) {
        case TuneTask::kTrain:
            return train(options);
        case TuneTask::kCompare: {
            ProgressLine progress("tune", ProgressLine::Elsewhere::kLines, options.quiet);
            const std::vector<ComparedFile> files = files_to_compare(options);
            const std::string page = compare_profiles(
                options.compare[0], options.compare[1], files,
                [&](std::size_t done) { progress.show(done, files.size(), "hearing with both"); });
            std::fputs(page.c_str(), stdout);
            return;
        }
        case TuneTask::kGoBack:
            std::fputs(went_back_text(options.profile, options.to).c_str(), stdout);
            return;
        case TuneTask::kHistory:
            std::fputs(history_text(options.profile).c_str(), stdout);
            return;
    }
}

} // namespace
} // namespace quietpass

int main(int argc, char** argv) {
    try {
        if (const auto options = quietpass::read_tune_options(argc, argv)) quietpass::run(*options);
        return 0;
    } catch (const quietpass::Failure& failure) {
        std::fprintf(stderr, "quietpass: %s\n", failure.what());
        return failure.exit_code();
    } catch (const std::exception& error) {
        std::fprintf(stderr, "quietpass: tune: %s\n", error.what());
        return quietpass::kExitFailure;
    }
}
