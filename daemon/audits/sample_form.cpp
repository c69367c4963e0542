#include "daemon/audits/sample_form.h"

#include <algorithm>
#include <cmath>

namespace quietpass {

namespace {

SampleForm form_of(const std::vector<PassageFacts>& passages, std::size_t first, std::size_t last,
                   double limit_percent, double confidence) {
    SampleForm form;
    form.first = passages[first];
    form.last = passages[last];
    form.limit_percent = limit_percent;
    for (std::size_t i = first; i <= last; ++i) {
        if (!passages[i].scored()) {
            ++form.passed_over;
            continue;
        }
        ++form.vocal.n;
        if (passages[i].vocal()) ++form.vocal.k;
        for (std::size_t phase = 0; phase < kCountedPhases.size(); ++phase) {
            if (passages[i].vocal_in[phase]) ++form.vocal_in[phase];
        }
    }
    form.interval = wilson_interval(form.vocal.k, form.vocal.n, confidence);
    return form;
}

std::vector<std::size_t> places_of_scored(const std::vector<PassageFacts>& passages) {
    std::vector<std::size_t> places;
    for (std::size_t i = 0; i < passages.size(); ++i) {
        if (passages[i].scored()) places.push_back(i);
    }
    return places;
}

} // namespace

std::int64_t SampleForm::most_vocal() const {
    // A thousandth of a thousandth of a percent is rounding, not an animal.
    constexpr double kRounding = 1e-6;
    return static_cast<std::int64_t>(
        std::floor(limit_percent * static_cast<double>(vocal.n) / 100.0 + kRounding));
}

bool SampleForm::within_limit() const {
    return vocal.k <= most_vocal();
}

bool SampleForm::limit_in_interval() const {
    const double limit = limit_percent / 100.0;
    return interval && interval->low <= limit && limit <= interval->high;
}

std::vector<SampleForm> samples_of(const std::vector<PassageFacts>& passages, std::int64_t size,
                                   double limit_percent, double confidence) {
    const std::vector<std::size_t> places = places_of_scored(passages);
    const auto step = static_cast<std::size_t>(std::max<std::int64_t>(1, size));
    std::vector<SampleForm> forms;
    for (std::size_t at = 0; at + step <= places.size(); at += step) {
        forms.push_back(form_of(passages, places[at], places[at + step - 1], limit_percent, confidence));
    }
    return forms;
}

std::optional<SampleForm> latest_sample(const std::vector<PassageFacts>& passages, std::int64_t size,
                                        double limit_percent, double confidence) {
    const std::vector<std::size_t> places = places_of_scored(passages);
    const auto wanted = static_cast<std::size_t>(std::max<std::int64_t>(1, size));
    if (places.size() < wanted) return std::nullopt;
    return form_of(passages, places[places.size() - wanted], places.back(), limit_percent, confidence);
}

SequentialEnd audited_in_sequence(const std::vector<PassageFacts>& passages, const statistics::Sprt& test) {
    SequentialEnd end;
    for (const PassageFacts& passage : passages) {
        if (!passage.scored()) continue;
        ++end.seen.n;
        if (passage.vocal()) ++end.seen.k;
        end.answer = test.after(end.seen.k, end.seen.n);
        if (end.answer != statistics::SequentialAnswer::kGoOn) return end;
    }
    return end;
}

} // namespace quietpass
