#include "daemon/evaluation/clip_judging.h"

#include <algorithm>

#include "daemon/file_calls.h"
#include "daemon/share_out.h"
#include "daemon/tuning/clip_reader.h"

namespace quietpass {

namespace {

using evaluation::TimeSpan;
using tuning::SpanLabel;

struct Heard {
    std::vector<tuning::Span> spans; // what is known of a clip of the species
    std::vector<HeardCall> calls;
};

bool of_species(const std::string& kind, Species species) {
    if (species == Species::kCattle) return kind == "cattle";
    return kind == "pig_squeal" || kind == "pig_grunt";
}

TimeSpan span_of(const tuning::Span& span) {
    return {span.start_s, span.end_s};
}

Heard hear(const ManifestEntry& entry, const SpanLabels& labels, const Profile& profile) {
    Heard heard;
    if (of_species(entry.kind, profile.species)) {
        const std::vector<tuning::Clip> clip = read_clips({entry}, labels, [](std::size_t) {});
        if (!clip.empty()) heard.spans = clip.front().spans;
    }
    heard.calls = calls_in_file(entry.file.string(), profile);
    return heard;
}

bool overlooked(const HeardCall& call, const std::vector<tuning::Span>& spans) {
    double ignored_s = 0.0;
    for (const tuning::Span& span : spans) {
        if (span.label == SpanLabel::kIgnore)
            ignored_s += evaluation::overlap_s(span_of(span), {call.start_s, call.end_s});
    }
    return 2 * ignored_s > call.end_s - call.start_s;
}

void judge(const ManifestEntry& entry, const Heard& heard, Species species, evaluation::JudgedClip& clip,
           evaluation::ShiftEvents& events) {
    for (const tuning::Span& span : heard.spans) {
        if (span.label != SpanLabel::kCall) continue;
        evaluation::TrueCall call;
        call.span = span_of(span);
        call.recording = entry.recording;
        events.calls.push_back(call);
    }
    for (const HeardCall& call : heard.calls) {
        if (!can_count(call.kind) || overlooked(call, heard.spans)) continue;
        clip.called = true;
        clip.score = std::max(clip.score.value_or(call.score), call.score);
        evaluation::FoundCall found;
        found.span = {call.start_s, call.end_s};
        events.found.push_back(found);
    }
    judge_events(events);
    const bool class_of_calls = entry.kind == (species == Species::kPig ? "pig_squeal" : "cattle");
    clip.is_call = of_species(entry.kind, species) && !events.calls.empty();
    clip.set_apart =
        (class_of_calls && events.calls.empty()) || (species == Species::kPig && entry.kind == "pig_other");
    if (clip.set_apart) events = {};
}

} // namespace

ClipJudging judge_clips(const std::vector<ManifestEntry>& entries, const SpanLabels& labels,
                        const std::vector<Profile>& profiles, int jobs,
                        const std::function<void(std::size_t done)>& progress) {
    std::vector<Heard> heard(entries.size());
    std::size_t done = 0;
    share_out(
        entries.size(), jobs,
        [&](std::size_t i) {
            heard[i] = hear(entries[i], labels,
                            profiles.size() == 1 ? profiles.front()
                                                 : profiles[static_cast<std::size_t>(entries[i].fold)]);
        },
        [&](std::size_t) { progress(++done); });

    ClipJudging out;
    for (std::size_t i = 0; i < entries.size(); ++i) {
        evaluation::JudgedClip clip;
        clip.path = entries[i].path;
        clip.kind = entries[i].kind;
        clip.recording = entries[i].recording;
        clip.fold = entries[i].fold;
        judge(entries[i], heard[i], profiles.front().species, clip, out.events.emplace_back());
        out.clips.push_back(std::move(clip));
    }
    return out;
}

} // namespace quietpass
