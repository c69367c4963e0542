#include "daemon/tuning/manifest.h"

#include <algorithm>
#include <charconv>
#include <fstream>
#include <optional>

#include "daemon/failure.h"

namespace quietpass {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void fail_at(const fs::path& file, std::size_t line, const std::string& what) {
    throw Failure(kExitUsage, file.string() + ":" + std::to_string(line) + ": " + what);
}

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

std::optional<double> number(const std::string& text) {
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

// A tab-separated file whose first line names the columns.
class Table {
  public:
    explicit Table(const fs::path& file) : file_(file), in_(file) {
        if (!in_) throw Failure(kExitFailure, file.string() + ": can't be read; name a readable file");
        if (!next()) fail_at(file_, 1, "empty; expected a header line with tab-separated column names");
        names_ = cells_;
    }

    bool next() {
        std::string text;
        while (std::getline(in_, text)) {
            ++line_;
            if (!text.empty() && text.back() == '\r') text.pop_back();
            if (text.empty()) continue;
            cells_ = split(text, '\t');
            return true;
        }
        return false;
    }

    const std::string& cell(const char* name) const {
        const std::string* found = find(name);
        if (found == nullptr) fail_at(file_, line_, std::string("no column \"") + name + "\"");
        return *found;
    }
    std::string cell_or_empty(const char* name) const {
        const std::string* found = find(name);
        return found == nullptr ? std::string() : *found;
    }
    double seconds(const char* name) const {
        const std::optional<double> value = number(cell(name));
        if (!value || *value < 0)
            fail_at(file_, line_, std::string(name) + ": expected seconds, got \"" + cell(name) + "\"");
        return *value;
    }
    [[noreturn]] void fail(const std::string& what) const { fail_at(file_, line_, what); }

  private:
    const std::string* find(const char* name) const {
        const auto column =
            static_cast<std::size_t>(std::find(names_.begin(), names_.end(), name) - names_.begin());
        return column < cells_.size() && column < names_.size() ? &cells_[column] : nullptr;
    }

    fs::path file_;
    std::ifstream in_;
    std::size_t line_ = 0;
    std::vector<std::string> names_;
    std::vector<std::string> cells_;
};

std::vector<tuning::Span> squeals_in(const std::string& note) {
    constexpr const char* kKey = "squeal_segs=";
    const std::size_t at = note.find(kKey);
    if (at == std::string::npos) return {};
    const std::size_t from = at + std::string(kKey).size();
    std::vector<tuning::Span> spans;
    for (const std::string& part : split(note.substr(from, note.find_first_of("; ", from) - from), ',')) {
        const std::vector<std::string> ends = split(part, '-');
        if (ends.size() != 2) continue;
        const std::optional<double> start_s = number(ends[0]);
        const std::optional<double> end_s = number(ends[1]);
        if (start_s && end_s && *end_s > *start_s)
            spans.push_back({*start_s, *end_s, tuning::SpanLabel::kCall});
    }
    return spans;
}

} // namespace

std::vector<ManifestEntry> read_manifest(const fs::path& file, const fs::path& folder) {
    Table table(file);
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
        entries.push_back({found.path(), path.string(), path.begin()->string(), path.string(), {}});
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

SpanLabels read_labels(const fs::path& file) {
    const std::map<std::string, tuning::SpanLabel> words = {{"call", tuning::SpanLabel::kCall},
                                                            {"grunt", tuning::SpanLabel::kGrunt},
                                                            {"other", tuning::SpanLabel::kOther},
                                                            {"ignore", tuning::SpanLabel::kIgnore}};
    Table table(file);
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
