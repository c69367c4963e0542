#include "daemon/tuning/manifest.h"

#include <algorithm>
#include <optional>

#include "classifiers/tuning/folds.h"
#include "daemon/failure.h"
#include "daemon/records/delimited_table.h"

namespace quietpass {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> split(const std::string& text, char by) {
    std::vector<std::string> out;
    std::size_t from = 0;
    while (true) {
        const std::size_t to = text.find(by, from);
        out.push_back(text.substr(from, to - from));
        if (to == std::string::npos) return out;
        from = to + 1;
    }
}

std::vector<tuning::Span> squeals_in(const std::string& note) {
    constexpr const char* kKey = "squeal_segs=";
    const std::size_t at = note.find(kKey);
    if (at == std::string::npos) return {};
    const std::size_t from = at + std::string(kKey).size();
    std::vector<tuning::Span> spans;
    for (const std::string& part : split(note.substr(from, note.find_first_of("; ", from) - from), ',')) {
        const std::vector<std::string> ends = split(part, '-');
        if (ends.size() != 2) continue;
        const std::optional<double> start_s = number_in(ends[0]);
        const std::optional<double> end_s = number_in(ends[1]);
        if (start_s && end_s && *end_s > *start_s)
            spans.push_back({*start_s, *end_s, tuning::SpanLabel::kCall});
    }
    return spans;
}

} // namespace

std::vector<ManifestEntry> read_manifest(const fs::path& file, const fs::path& folder) {
    DelimitedTable table(file, Delimiter::kTab);
    std::vector<ManifestEntry> entries;
    while (table.next()) {
        ManifestEntry entry;
        entry.path = table.cell("path");
        entry.file = folder / entry.path;
        entry.kind = table.cell("class");
        entry.recording = table.cell_or_empty("recording");
        if (entry.recording.empty()) entry.recording = entry.path;
        entry.squeals = squeals_in(table.cell_or_empty("note"));
        entries.push_back(std::move(entry));
    }
    if (entries.empty()) table.fail("no clips in this manifest");
    return entries;
}

std::vector<ManifestEntry> entries_of_folder(const fs::path& folder) {
    if (!fs::is_directory(folder)) {
        throw Failure(kExitFailure,
                      folder.string() + ": no such folder; --clips wants a folder of labelled clips");
    }
    const fs::path manifest = folder / "MANIFEST.tsv";
    if (fs::exists(manifest)) return read_manifest(manifest, folder);
    std::vector<ManifestEntry> entries;
    for (const fs::directory_entry& found : fs::recursive_directory_iterator(folder)) {
        if (!found.is_regular_file()) continue;
        const fs::path path = fs::relative(found.path(), folder);
        if (!path.has_parent_path()) continue;
        entries.push_back({found.path(), path.string(), path.begin()->string(), path.string(), {}, 0});
    }
    std::sort(entries.begin(), entries.end(),
              [](const ManifestEntry& a, const ManifestEntry& b) { return a.path < b.path; });
    if (entries.empty()) {
        throw Failure(kExitFailure,
                      folder.string() +
                          ": no clips; put them in a sub-folder a class (cattle, pig_squeal, speech …), or "
                          "add a MANIFEST.tsv");
    }
    return entries;
}

void number_folds(std::vector<ManifestEntry>& entries, int folds) {
    std::vector<tuning::Clip> clips;
    for (const ManifestEntry& entry : entries) {
        tuning::Clip clip;
        clip.kind = entry.kind;
        clip.recording = entry.recording;
        clips.push_back(std::move(clip));
    }
    tuning::assign_folds(clips, folds);
    for (std::size_t i = 0; i < entries.size(); ++i) entries[i].fold = clips[i].fold;
}

SpanLabels read_labels(const fs::path& file) {
    const std::map<std::string, tuning::SpanLabel> words = {{"call", tuning::SpanLabel::kCall},
                                                            {"grunt", tuning::SpanLabel::kGrunt},
                                                            {"other", tuning::SpanLabel::kOther},
                                                            {"ignore", tuning::SpanLabel::kIgnore}};
    DelimitedTable table(file, Delimiter::kTab);
    SpanLabels labels;
    while (table.next()) {
        const auto word = words.find(table.cell("label"));
        if (word == words.end())
            table.fail("label: expected call, grunt, other or ignore, got \"" + table.cell("label") + "\"");
        const tuning::Span span{table.seconds("start_s"), table.seconds("end_s"), word->second};
        if (span.end_s <= span.start_s) table.fail("end_s must be after start_s");
        std::vector<tuning::Span>& spans = labels[table.cell("path")];
        if (!spans.empty() && span.start_s < spans.back().end_s)
            table.fail("spans of a clip must be in order and apart");
        spans.push_back(span);
    }
    return labels;
}

} // namespace quietpass
