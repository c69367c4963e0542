#include "classifiers/tuning/heard_corpus.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "classifiers/tuning/random.h"

namespace quietpass::tuning {
namespace {

constexpr int kPassagesPerStream = 8;
constexpr double kCheckedSnrs[] = {15, 5, 0};

bool has(const Clip& clip, SpanLabel label) {
    return std::any_of(clip.spans.begin(), clip.spans.end(),
                       [&](const Span& span) { return span.label == label; });
}

bool starts_with(const std::string& text, const char* start) {
    return text.rfind(start, 0) == 0;
}

StreamClips clips_for(const std::vector<Clip>& clips, Species species, int fold) {
    const char* own = species == Species::kPig ? "pig" : "cattle";
    StreamClips out;
    for (const Clip& clip : clips) {
        if (clip.fold != fold) continue;
        if (starts_with(clip.kind, own)) {
            if (has(clip, SpanLabel::kCall)) out.calls.push_back(&clip);
            if (has(clip, SpanLabel::kGrunt)) out.grunts.push_back(&clip);
        } else {
            out.others.push_back(&clip);
        }
    }
    return out;
}

int scaled(int streams, double size) {
    return std::max(1, static_cast<int>(std::lround(streams * size)));
}

std::vector<StreamPlan> plans_for(Species species, double size, Random& random) {
    const double low_hz = species == Species::kPig ? 500 : 80;
    const double high_hz = species == Species::kPig ? 7000 : 2500;
    std::vector<StreamPlan> plans;
    // From entry to stun where one animal at a time is restrained; common practice, no source.
    const double checked_s = species == Species::kPig ? 9 : 16;
    const double any = std::numeric_limits<double>::quiet_NaN();
    const double published = species == Species::kCattle ? 0.25 : 0.0;
    // Those that are checked are as a plant is; the others hold more of everything to learn from.
    const auto add = [&](int streams, double vocal_share, double snr_db, bool plant, double busy) {
        for (int i = 0; i < scaled(streams, size); ++i) {
            const bool checked = !std::isnan(snr_db);
            plans.push_back({checked ? 2 * kPassagesPerStream : kPassagesPerStream, vocal_share, snr_db,
                             low_hz, high_hz, plant, checked ? checked_s : 25.0, busy, checked,
                             checked ? 0.0 : published, random.seed()});
        }
    };
    for (const double snr_db : kCheckedSnrs) add(16, 0.25, snr_db, true, 0.5);
    add(60, 0.5, any, true, 1.0);
    add(36, 0.5, any, false, 1.0);
    return plans;
}

} // namespace

std::vector<CorpusStream> hear_corpus(const std::vector<Clip>& clips, const CorpusPlan& plan,
                                      const SegmentSettings& settings, const Progress& progress) {
    std::vector<CorpusStream> streams;
    std::vector<StreamClips> fold_clips;
    for (int fold = 0; fold < plan.folds; ++fold) {
        fold_clips.push_back(clips_for(clips, plan.species, fold));
        if (fold == plan.leave_out) continue;
        if (fold_clips.back().calls.empty()) {
            throw std::invalid_argument("fold " + std::to_string(fold) + " has no recording with calls");
        }
        Random random(plan.seed * 1000 + static_cast<std::uint64_t>(fold));
        for (const StreamPlan& stream : plans_for(plan.species, plan.size, random))
            streams.push_back({fold, stream, {}});
    }
    for (std::size_t i = 0; i < streams.size(); ++i) {
        CorpusStream& stream = streams[i];
        progress(i, streams.size(), "hearing simulated shifts");
        stream.heard =
            hear(simulate(stream.plan, fold_clips[static_cast<std::size_t>(stream.fold)]), settings);
        for (LabelledSound& sound : stream.heard.sounds) sound.fold = stream.fold;
    }
    progress(streams.size(), streams.size(), "hearing simulated shifts");
    return streams;
}

} // namespace quietpass::tuning
