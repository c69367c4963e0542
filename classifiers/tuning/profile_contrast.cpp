#include "classifiers/tuning/profile_contrast.h"

#include <algorithm>

namespace quietpass::tuning {
namespace {

double shared_s(double start_s, double end_s, const HeardCall& call) {
    return std::max(0.0, std::min(end_s, call.end_s) - std::max(start_s, call.start_s));
}

bool meet(const Span& span, const HeardCall& call) {
    const double shorter_s = std::min(span.end_s - span.start_s, call.end_s - call.start_s);
    return shared_s(span.start_s, span.end_s, call) >= 0.5 * shorter_s;
}

std::vector<HeardCall> without_partner(std::span<const HeardCall> calls, std::span<const HeardCall> others) {
    std::vector<HeardCall> out;
    for (const HeardCall& call : calls) {
        if (!can_count(call.kind)) continue;
        const bool heard = std::ranges::any_of(others, [&](const HeardCall& other) {
            return can_count(other.kind) && shared_s(other.start_s, other.end_s, call) > 0;
        });
        if (!heard) out.push_back(call);
    }
    return out;
}

} // namespace

Contrast contrast(std::span<const HeardCall> first, std::span<const HeardCall> second) {
    Contrast out;
    out.only_first = without_partner(first, second);
    out.only_second = without_partner(second, first);
    const auto counted =
        std::ranges::count_if(second, [](const HeardCall& call) { return can_count(call.kind); });
    out.both = static_cast<int>(counted) - static_cast<int>(out.only_second.size());
    return out;
}

void count_known(std::span<const Span> known, const std::string& kind, std::span<const HeardCall> heard,
                 KnownFigures& figures) {
    const auto is_heard = [&](const Span& span) {
        return std::ranges::any_of(
            heard, [&](const HeardCall& call) { return can_count(call.kind) && meet(span, call); });
    };
    for (const Span& span : known) {
        if (span.label == SpanLabel::kCall) {
            ++figures.calls;
            figures.found += is_heard(span) ? 1 : 0;
        } else if (span.label != SpanLabel::kIgnore) {
            ++figures.others;
            if (!is_heard(span)) continue;
            ++figures.others_called;
            ++figures.called_by[span.label == SpanLabel::kGrunt ? "grunt" : kind];
        }
    }
    for (const HeardCall& call : heard) {
        const bool in_a_span = std::ranges::any_of(known, [&](const Span& span) { return meet(span, call); });
        figures.unknown += can_count(call.kind) && !in_a_span ? 1 : 0;
    }
}

} // namespace quietpass::tuning
