#include "daemon/tuning/compared_files.h"

#include <algorithm>
#include <filesystem>
#include <map>

#include "daemon/failure.h"
#include "daemon/tuning/clip_reader.h"
#include "daemon/tuning/findings.h"
#include "daemon/tuning/manifest.h"

namespace quietpass {
namespace {

namespace fs = std::filesystem;

std::string whole(const std::string& file) {
    return fs::weakly_canonical(file).string();
}

} // namespace

std::vector<ComparedFile> files_to_compare(const TuneOptions& options) {
    SpanLabels labels;
    for (const std::string& file : options.labels) labels.merge(read_labels(file));
    std::vector<ComparedFile> files;
    std::map<std::string, std::size_t> places; // by whole path
    const auto add = [&](ComparedFile file) -> ComparedFile& {
        const auto [place, is_new] = places.try_emplace(whole(file.file), files.size());
        if (is_new) files.push_back(std::move(file));
        return files[place->second];
    };
    for (const std::string& name : options.audio) {
        const auto labelled = labels.find(name);
        const bool known = labelled != labels.end();
        add({name, name, "other", known ? labelled->second : std::vector<tuning::Span>{}, known});
    }
    for (std::size_t i = 0; i < options.clips.size(); ++i) {
        const fs::path folder = options.clips[i];
        const std::vector<ManifestEntry> entries = i == 0 && !options.manifest.empty()
                                                       ? read_manifest(options.manifest, folder)
                                                       : entries_of_folder(folder);
        for (const tuning::Clip& clip : read_clips(entries, labels, [](std::size_t) {}))
            add({(folder / clip.path).string(), clip.path, clip.kind, clip.spans, true});
    }
    for (const std::string& table : options.findings) {
        for (const Finding& finding : read_findings(table)) {
            ComparedFile& file = add({finding.file.string(), finding.file.string(), "not_call", {}, true});
            file.labelled = true;
            file.known.push_back(finding.span);
        }
    }
    if (files.empty()) throw Failure(kExitFailure, "tune: no audio to compare on; name some with --audio");
    return files;
}

} // namespace quietpass
