#include "daemon/tuning/findings.h"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <map>

#include "classifiers/tuning/folds.h"
#include "daemon/failure.h"
#include "daemon/records/delimited_table.h"
#include "daemon/tuning/clip_reader.h"

namespace quietpass {
namespace {

namespace fs = std::filesystem;
using tuning::SpanLabel;

constexpr double kAroundS = 0.1;
constexpr double kShortestS = 0.05;

Delimiter delimiter_of(const fs::path& table) {
    std::ifstream in(table);
    std::string header;
    std::getline(in, header);
    return header.find('\t') != std::string::npos ? Delimiter::kTab : Delimiter::kComma;
}

std::string kind_of(SpanLabel label, Species species) {
    const bool pig = species == Species::kPig;
    if (label == SpanLabel::kCall) return pig ? "pig_squeal" : "cattle";
    return label == SpanLabel::kGrunt && pig ? "pig_grunt" : "not_call";
}

} // namespace

std::vector<Finding> read_findings(const fs::path& file) {
    const std::map<std::string, SpanLabel> words = {{"call", SpanLabel::kCall},
                                                    {"not_call", SpanLabel::kOther},
                                                    {"grunt", SpanLabel::kGrunt},
                                                    {"unsure", SpanLabel::kIgnore}};
    DelimitedTable table(file, delimiter_of(file));
    std::map<std::string, double> lengths_s;
    std::vector<Finding> findings;
    while (table.next()) {
        const std::string& name = table.cell("file");
        if (name.empty()) table.fail("file: expected the name of an audio file");
        const auto word = words.find(table.cell("finding"));
        if (word == words.end()) {
            table.fail("finding: expected call, not_call, grunt or unsure, got \"" + table.cell("finding") +
                       "\"");
        }
        Finding finding;
        finding.file = file.parent_path() / name;
        finding.recording = table.cell_or_empty("recording");
        if (finding.recording.empty()) finding.recording = name;
        finding.span = {table.seconds("start_s"), table.seconds("end_s"), word->second};
        if (finding.span.end_s - finding.span.start_s < kShortestS)
            table.fail("end_s: expected at least 0.05 s after start_s");
        const auto [length, is_new] = lengths_s.try_emplace(name, 0.0);
        if (is_new) length->second = length_of(finding.file.string());
        if (finding.span.start_s + kShortestS > length->second) {
            char seconds[32];
            std::snprintf(seconds, sizeof seconds, "%.2f", length->second);
            table.fail("start_s: lies behind the end of " + name + ", which is " + seconds + " s long");
        }
        finding.span.end_s = std::min(finding.span.end_s, length->second);
        findings.push_back(std::move(finding));
    }
    if (findings.empty()) table.fail("no findings in this file");
    return findings;
}

std::vector<tuning::Clip> clips_of(const std::vector<Finding>& findings, Species species, int folds,
                                   const std::function<void(std::size_t done)>& progress) {
    std::vector<tuning::Clip> clips;
    for (std::size_t i = 0; i < findings.size(); ++i) {
        progress(i);
        const Finding& finding = findings[i];
        if (finding.span.label == SpanLabel::kIgnore) continue;
        tuning::Clip clip;
        clip.path = finding.file.string();
        clip.kind = kind_of(finding.span.label, species);
        clip.recording = finding.recording;
        const double from_s = std::max(0.0, finding.span.start_s - kAroundS);
        clip.samples = read_piece(clip.path, from_s, finding.span.end_s + kAroundS);
        const SpanLabel label = clip.kind == "not_call" ? SpanLabel::kOther : finding.span.label;
        clip.spans = {
            {finding.span.start_s - from_s, std::min(finding.span.end_s - from_s, clip.length_s()), label}};
        clips.push_back(std::move(clip));
    }
    progress(findings.size());
    tuning::assign_folds_by_recording(clips, folds);
    return clips;
}

} // namespace quietpass
