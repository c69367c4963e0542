// quietpass-tune: labelled recordings in, a profile and its report out. A program of its own, so that the
// daemon never loads the training library.
#include <cstdio>
#include <exception>
#include <filesystem>
#include <stdexcept>

#include "classifiers/profile_text.h"
#include "classifiers/tuning/tuning_report.h"
#include "daemon/failure.h"
#include "daemon/progress_line.h"
#include "daemon/tuning/clip_reader.h"
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
    return read_clips(entries, labels,
                      [&](std::size_t done) { progress.show(done, entries.size(), "reading clips"); });
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

void run(const TuneOptions& options) {
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
    result.profile.version = "seed " + std::to_string(options.tuning.corpus.seed);
    result.profile.about = tuning::about_of(result);
    const std::string report = tuning::report_of(result, options.tuning);
    if (!options.each_fold.empty()) write_each_fold(result, options);
    if (!options.report.empty()) write_whole(options.report, report, false);
    write_whole(options.out, profile_to_toml(result.profile), true);
    std::fputs(report.c_str(), stdout);
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
