#include "tests/scenario/recording_shelf.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>
#include <tuple>

#include "daemon/failure.h"

namespace quietpass::scenario {

namespace {

using Row = std::vector<std::string>;

Row fields_of(const std::string& line) {
    Row row;
    std::istringstream in(line);
    for (std::string field; std::getline(in, field, '\t');) row.push_back(field);
    return row;
}

std::vector<ClipPart> noted_parts(const std::string& note) {
    constexpr const char* kKey = "squeal_segs=";
    const std::size_t at = note.find(kKey);
    if (at == std::string::npos) return {};
    std::vector<ClipPart> parts;
    const char* text = note.c_str() + at + std::char_traits<char>::length(kKey);
    for (;;) {
        char* end = nullptr;
        const double start_s = std::strtod(text, &end);
        if (end == text || *end != '-') break;
        text = end + 1;
        const double end_s = std::strtod(text, &end);
        if (end == text || end_s <= start_s) break;
        parts.push_back({start_s, end_s});
        if (*end != ',') break;
        text = end + 1;
    }
    return parts;
}

// By path: the parts with this label.
using Labels = std::map<std::string, std::vector<ClipPart>>;

Labels read_labels(const std::string& file, const std::string& wanted) {
    Labels labels;
    if (file.empty()) return labels;
    std::ifstream in(file);
    std::string line;
    if (!in || !std::getline(in, line) || line != "path\tstart_s\tend_s\tlabel") {
        throw Failure(kExitUsage,
                      file + ":1: not a labels file: expected the columns path, start_s, end_s, label");
    }
    for (int number = 2; std::getline(in, line); ++number) {
        if (line.empty()) continue;
        const Row row = fields_of(line);
        char* end = nullptr;
        const double start_s = row.size() == 4 ? std::strtod(row[1].c_str(), &end) : -1.0;
        const double end_s = row.size() == 4 ? std::strtod(row[2].c_str(), &end) : -1.0;
        if (!(start_s >= 0.0 && end_s > start_s)) {
            throw Failure(kExitUsage,
                          file + ":" + std::to_string(number) + ": expected path, start_s, end_s, label");
        }
        if (row[3] == wanted) labels[row[0]].push_back({start_s, end_s});
    }
    return labels;
}

bool named(const std::vector<std::string>& names, const std::string& recording, const std::string& path) {
    return std::any_of(names.begin(), names.end(),
                       [&](const std::string& name) { return name == recording || name == path; });
}

} // namespace

RecordingShelf::RecordingShelf(const Scenario& scenario)
    : file_(scenario.file),
      folder_(scenario.recordings_folder),
      low_hz_(scenario.snr_low_hz),
      high_hz_(scenario.snr_high_hz) {
    if (folder_.empty()) return;
    namespace fs = std::filesystem;
    std::string manifest = scenario.manifest;
    if (manifest.empty()) {
        manifest = (fs::path(folder_) / "MANIFEST.tsv").string();
        if (!fs::exists(manifest)) manifest = (fs::path(folder_).parent_path() / "MANIFEST.tsv").string();
    }
    std::ifstream in(manifest);
    std::string line;
    if (!in || !std::getline(in, line) || fields_of(line).size() < 4 || !line.starts_with("path\tclass\t")) {
        throw Failure(kExitUsage,
                      manifest + ":1: not a manifest: expected the columns path, class, recording, tier");
    }
    std::string labels_file = scenario.labels;
    if (labels_file.empty()) {
        const fs::path beside = fs::path(manifest).parent_path() / "labels" / "calls.tsv";
        if (fs::exists(beside)) labels_file = beside.string();
    }
    const Labels calls = read_labels(labels_file, "call");
    const Labels grunts = read_labels(labels_file, "grunt");
    struct Listed {
        Entry entry;
        std::string tier;
    };
    std::map<std::string, std::vector<Listed>> listed;
    for (int number = 2; std::getline(in, line); ++number) {
        if (line.empty()) continue;
        const Row row = fields_of(line);
        if (row.size() < 4) {
            throw Failure(kExitUsage, manifest + ":" + std::to_string(number) +
                                          ": expected 7 columns, found " + std::to_string(row.size()));
        }
        const Labels& labels = row[1] == "pig_grunt" ? grunts : calls;
        const auto labelled = labels.find(row[0]);
        const std::vector<ClipPart> known = labelled != labels.end() ? labelled->second
                                            : row.size() > 6         ? noted_parts(row[6])
                                                                     : std::vector<ClipPart>();
        listed[row[1]].push_back({{row[0], row[2], known, nullptr}, row[3]});
    }
    for (auto& [name, items] : listed) {
        std::sort(items.begin(), items.end(), [](const Listed& a, const Listed& b) {
            return std::tie(a.entry.recording, a.entry.path) < std::tie(b.entry.recording, b.entry.path);
        });
        std::map<std::string, int>
            number_of; // over the whole class, so that a fold doesn't move with the lists
        for (const Listed& item : items) {
            number_of.try_emplace(item.entry.recording, static_cast<int>(number_of.size()));
        }
        const auto own = scenario.class_selection.find(name);
        const Selection& chosen = own == scenario.class_selection.end() ? scenario.selection : own->second;
        for (Listed& item : items) {
            const Entry& entry = item.entry;
            if (!chosen.include.empty() && !named(chosen.include, entry.recording, entry.path)) continue;
            if (named(chosen.exclude, entry.recording, entry.path)) continue;
            if (!chosen.tiers.empty() && !named(chosen.tiers, item.tier, item.tier)) continue;
            if (chosen.fold) {
                const bool in_fold = number_of.at(entry.recording) % chosen.fold->of == chosen.fold->number;
                if (in_fold == chosen.fold->exclude) continue;
            }
            classes_[name].push_back(std::move(item.entry));
        }
    }
}

bool RecordingShelf::has(const std::string& sound_class) const {
    return classes_.contains(sound_class);
}

const Clip& RecordingShelf::loaded(Entry& entry) {
    if (!entry.clip) {
        const std::string path = (std::filesystem::path(folder_) / entry.path).string();
        entry.clip =
            std::make_unique<Clip>(load_clip(path, entry.recording, entry.known_parts, low_hz_, high_hz_));
    }
    return *entry.clip;
}

const Clip& RecordingShelf::draw(const std::string& sound_class, Random& random) {
    const auto found = classes_.find(sound_class);
    if (found == classes_.end()) {
        throw Failure(kExitUsage,
                      file_ + ":1: recordings: no recording of class '" + sound_class + "' " +
                          (folder_.empty() ? "(no folder given): name one with --recordings"
                                           : "is left in " + folder_ + ": widen include, tiers or fold"));
    }
    std::vector<std::size_t>& cards = decks_[sound_class].cards;
    if (cards.empty()) {
        for (std::size_t i = 0; i < found->second.size(); ++i) cards.push_back(i);
        random.shuffle(cards);
    }
    const std::size_t card = cards.back();
    cards.pop_back();
    return loaded(found->second[card]);
}

const Clip& RecordingShelf::find(const std::string& sound_class, const std::string& name) {
    const auto found = classes_.find(sound_class);
    if (found != classes_.end()) {
        for (Entry& entry : found->second) {
            if (entry.recording == name || entry.path == name) return loaded(entry);
        }
    }
    throw Failure(kExitUsage, file_ + ":1: passage.call.recording: no recording '" + name + "' of class '" +
                                  sound_class + "': take a name from the manifest");
}

std::vector<std::string> RecordingShelf::recordings(const std::string& sound_class) const {
    std::set<std::string> names;
    const auto found = classes_.find(sound_class);
    if (found != classes_.end()) {
        for (const Entry& entry : found->second) names.insert(entry.recording);
    }
    return {names.begin(), names.end()};
}

} // namespace quietpass::scenario
