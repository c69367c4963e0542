#include "classifiers/tuning/simulated_stream.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "classifiers/tuning/biquad.h"
#include "classifiers/tuning/lossy.h"
#include "classifiers/tuning/plant_noise.h"
#include "classifiers/tuning/published_calls.h"
#include "classifiers/tuning/random.h"
#include "classifiers/tuning/room.h"

namespace quietpass::tuning {
namespace {

constexpr double kLeadS = 6.0; // the background alone, for the running floor to settle
constexpr double kFadeS = 0.02;

struct Sounding {
    std::vector<float> samples;
    std::vector<Span> spans; // within samples
    std::string kind;
    std::string recording;
};

// How often each class is heard in a passage of a plant, and elsewhere.
struct Rate {
    const char* kind;
    double plant;
    double elsewhere;
};
constexpr std::array kRates = {
    Rate{"impulse", 0.5, 0.2},
    Rate{"metal", 0.75, 0.3},
    Rate{"air", 0.4, 0.1},
    Rate{"speech", 0.75, 0.4},
    Rate{"shout", 0.4, 0.4},
    Rate{"machine", 0.1, 0.1},
    Rate{"saw", 0.05, 0.15},
    Rate{"engine", 0.1, 0.15},
    Rate{"water", 0.1, 0.1},
    Rate{"horn", 0.1, 0.25},
    Rate{"other_noise", 0.05, 0.15},
    Rate{"dog", 0.05, 0.3},
    Rate{"bird", 0.1, 0.2},
    Rate{"sheep", 0.0, 0.5},
    Rate{"goat", 0.0, 0.4},
    Rate{"horse", 0.0, 0.3},
    Rate{"donkey", 0.0, 0.15},
    Rate{"baby_cry", 0.0, 0.2},
    Rate{"music", 0.0, 0.1},
    Rate{"other_animal", 0.0, 0.3},
    Rate{"cattle", 0.0, 0.4},
    Rate{"pig_squeal", 0.0, 0.2},
    Rate{"pig_grunt", 0.0, 0.3},
    Rate{"not_call", 0.75, 0.4}, // a plant's own sounds that its reviewers found to be no call
};

class Builder {
  public:
    Builder(const StreamPlan& plan, const StreamClips& clips)
        : plan_(plan), clips_(clips), random_(plan.seed) {
        for (const Clip* clip : clips.others) {
            by_kind_[clip->kind].push_back(clip);
            if (is_running_noise(clip->kind)) running_.push_back(clip);
        }
    }

    SimulatedStream build() {
        lay_out_passages();
        const double length_s = stream_.passages.back().end_s + 2.0;
        const auto count = static_cast<std::size_t>(length_s * kClipRateHz);
        stream_.samples = plant_bed(count, running_, random_);
        bed_in_band_ = in_band(stream_.samples);
        for (SimulatedPassage& passage : stream_.passages) {
            add_noises(passage);
            if (!clips_.grunts.empty()) add_grunts(passage);
            if (passage.vocal) add_calls(passage);
        }
        std::sort(stream_.placed.begin(), stream_.placed.end(),
                  [](const PlacedSpan& a, const PlacedSpan& b) { return a.start_s < b.start_s; });
        set_level();
        return std::move(stream_);
    }

  private:
    void lay_out_passages() {
        double at_s = kLeadS;
        for (int i = 0; i < plan_.passages; ++i) {
            const double end_s = at_s + plan_.passage_s * random_.between(0.65, 1.35);
            const bool vocal = !clips_.calls.empty() && random_.chance(plan_.vocal_share);
            stream_.passages.push_back({at_s, end_s, vocal, std::numeric_limits<double>::quiet_NaN()});
            at_s = end_s;
        }
    }

    // The span and a little around it, faded at both ends.
    Sounding cut_out(const Clip& clip, const Span& span, double around_s) {
        Sounding out;
        out.kind = clip.kind;
        out.recording = clip.recording;
        const double start_s = std::max(0.0, span.start_s - around_s);
        const double end_s = std::min(clip.length_s(), span.end_s + around_s);
        const auto from = static_cast<std::ptrdiff_t>(start_s * kClipRateHz);
        const auto to = static_cast<std::ptrdiff_t>(end_s * kClipRateHz);
        out.samples.assign(clip.samples.begin() + from, clip.samples.begin() + to);
        const std::size_t size = out.samples.size();
        const std::size_t fade = std::min(static_cast<std::size_t>(kFadeS * kClipRateHz), size / 4);
        for (std::size_t i = 0; i < fade; ++i) {
            const float gain = static_cast<float>(i) / static_cast<float>(fade);
            out.samples[i] *= gain;
            out.samples[size - 1 - i] *= gain;
        }
        out.spans = {{span.start_s - start_s, std::min(span.end_s, end_s) - start_s, span.label}};
        return out;
    }

    void place_in_world(Sounding& sounding, bool may_change_pitch) {
        const bool rough = !plan_.plant;
        // Few animals are on record: a larger and a smaller one are made of each.
        if (may_change_pitch && random_.chance(plan_.as_recorded ? 0.0 : 0.7)) {
            const double ratio = random_.between_by_ratio(0.72, 1.38);
            sounding.samples = at_speed(sounding.samples, ratio);
            for (Span& span : sounding.spans) {
                span.start_s /= ratio;
                span.end_s /= ratio;
            }
        }
        if (random_.chance(plan_.as_recorded ? 0.0 : 0.6)) coloured(sounding.samples, random_);
        if (rough && random_.chance(0.15)) clipped_at(sounding.samples, random_.between(0.2, 0.8));
        if (random_.chance(rough ? 0.2 : 0.05)) coded_with_loss(sounding.samples, any_coding_loss(random_));
        if (random_.chance(rough ? 0.3 : 0.1))
            from_afar(sounding.samples, random_.between_by_ratio(1800, 7000));
        if (random_.chance(0.7)) {
            const double decay_s = random_.between_by_ratio(0.2, 1.4);
            sounding.samples =
                in_room(sounding.samples, decay_s, random_.between(rough ? 0 : 4, 16), random_);
        }
    }

    std::vector<float> in_band(std::vector<float> samples) const {
        for (int section = 0; section < 2; ++section) {
            Biquad::high_pass(plan_.low_hz, section == 0 ? 0.541 : 1.307).run(samples);
            Biquad::low_pass(plan_.high_hz, section == 0 ? 0.541 : 1.307).run(samples);
        }
        return samples;
    }

    static double rms_within(const std::vector<float>& samples, double start_s, double end_s) {
        const auto from = static_cast<std::size_t>(start_s * kClipRateHz);
        const auto to = std::min(samples.size(), static_cast<std::size_t>(end_s * kClipRateHz));
        return from < to ? rms_of(samples.data() + from, to - from) : 0.0;
    }

    void add_samples(const Sounding& sounding, double start_s, double gain, double snr_db) {
        const auto from = static_cast<std::size_t>(start_s * kClipRateHz);
        for (std::size_t i = 0; i < sounding.samples.size() && from + i < stream_.samples.size(); ++i) {
            stream_.samples[from + i] += static_cast<float>(gain) * sounding.samples[i];
        }
        for (const Span& span : sounding.spans) {
            stream_.placed.push_back({start_s + span.start_s, start_s + span.end_s, span.label, sounding.kind,
                                      sounding.recording, snr_db});
        }
    }

    // Puts it at start_s so that its span is snr_db over the background there, in the species' band.
    void put_call(const Sounding& sounding, double start_s, double snr_db) {
        const Span& span = sounding.spans.front();
        const double rms = rms_within(in_band(sounding.samples), span.start_s, span.end_s);
        const double under = rms_within(bed_in_band_, start_s + span.start_s, start_s + span.end_s);
        if (rms <= 0 || under <= 0) return;
        add_samples(sounding, start_s, under * std::pow(10.0, snr_db / 20.0) / rms, snr_db);
    }

    // Puts it at start_s with its loudest 125 ms level_db over the background.
    void put_noise(const Sounding& sounding, double start_s, double level_db) {
        constexpr std::size_t kWindow = 2000;
        double loudest = 0.0;
        for (std::size_t at = 0; at < sounding.samples.size(); at += kWindow / 4) {
            const std::size_t count = std::min(kWindow, sounding.samples.size() - at);
            loudest = std::max(loudest, rms_of(sounding.samples.data() + at, count) *
                                            std::sqrt(static_cast<double>(count) / kWindow));
        }
        if (loudest > 0) add_samples(sounding, start_s, std::pow(10.0, level_db / 20.0) / loudest, 0.0);
    }

    // DB over the background; a plant's noises keep within what handling gear does to its background.
    double noise_level_db(double plant_db) {
        if (!plan_.plant) return random_.between(-2, 22);
        return plant_db + random_.between(-5, 5) + random_.between(-2, 2);
    }

    double somewhere(const SimulatedPassage& passage, double length_s) {
        const double last = std::max(passage.start_s + 0.3, passage.end_s - length_s - 0.3);
        return random_.between(passage.start_s + 0.2, last);
    }

    void add_synthetic(const SimulatedPassage& passage, const char* kind, double mean, double plant_db,
                       std::vector<float> (*make)(Random&)) {
        for (int n = random_.count(mean); n > 0; --n) {
            Sounding sounding;
            sounding.samples = make(random_);
            sounding.kind = kind;
            sounding.spans = {
                {0.0, static_cast<double>(sounding.samples.size()) / kClipRateHz, SpanLabel::kOther}};
            if (random_.chance(0.6)) {
                sounding.samples = in_room(sounding.samples, random_.between_by_ratio(0.2, 1.4),
                                           random_.between(0, 14), random_);
            }
            put_noise(sounding, somewhere(passage, sounding.spans[0].end_s), noise_level_db(plant_db));
        }
    }

    void add_noises(const SimulatedPassage& passage) {
        const bool plant = plan_.plant;
        add_synthetic(passage, "synthetic bang", plant ? 1.6 : 0.7, 8, synthetic_bang);
        add_synthetic(passage, "synthetic air", plant ? 1.0 : 0.4, 6, synthetic_air);
        add_synthetic(passage, "synthetic shot", plant ? 0.8 : 0.3, 12, synthetic_shot);
        add_synthetic(passage, "synthetic whine", plant ? 0.03 : 0.15, 4, synthetic_whine);
        add_synthetic(passage, "synthetic beep", plant ? 0.05 : 0.1, 4, synthetic_beep);
        add_synthetic(passage, "synthetic drip", 0.2, 4, synthetic_drips);
        for (const Rate& rate : kRates) {
            const auto found = by_kind_.find(rate.kind);
            if (found == by_kind_.end()) continue;
            for (int n = random_.count(plan_.plant ? plan_.busy * rate.plant : rate.elsewhere); n > 0; --n) {
                const Clip& clip = *found->second[random_.index(found->second.size())];
                if (clip.spans.empty()) continue;
                Span span = clip.spans[random_.index(clip.spans.size())];
                span.label = SpanLabel::kOther;
                span.end_s = std::min(span.end_s, span.start_s + 5.0);
                Sounding sounding = cut_out(clip, span, 0.05);
                place_in_world(sounding, true);
                put_noise(sounding, somewhere(passage, span.end_s - span.start_s), noise_level_db(6));
            }
        }
    }

    const Clip& any_recording(const std::vector<const Clip*>& clips) {
        // Recordings, not clips, are drawn evenly: one with many clips would drown the rest.
        std::vector<const std::string*> names;
        for (const Clip* clip : clips) {
            if (names.empty() || *names.back() != clip->recording) names.push_back(&clip->recording);
        }
        const std::string& name = *names[random_.index(names.size())];
        std::vector<const Clip*> of_it;
        for (const Clip* clip : clips) {
            if (clip->recording == name) of_it.push_back(clip);
        }
        return *of_it[random_.index(of_it.size())];
    }

    void add_grunts(const SimulatedPassage& passage) {
        for (int n = random_.count(1.2); n > 0; --n) {
            const Clip& clip = any_recording(clips_.grunts);
            std::vector<Span> spans;
            for (const Span& span : clip.spans) {
                if (span.label == SpanLabel::kGrunt) spans.push_back(span);
            }
            if (spans.empty()) continue;
            const Span span = spans[random_.index(spans.size())];
            Sounding sounding = cut_out(clip, span, 0.02);
            place_in_world(sounding, true);
            put_noise(sounding, somewhere(passage, span.end_s - span.start_s), random_.between(-2, 20));
        }
    }

    // A call of a recording, or one made after what is published.
    Sounding any_call(const Clip* clip) {
        Sounding out;
        if (clip == nullptr) {
            out.samples = published_cattle_call(random_);
            out.kind = "published call";
            out.spans = {{0.0, static_cast<double>(out.samples.size()) / kClipRateHz, SpanLabel::kCall}};
            return out;
        }
        std::vector<Span> spans;
        for (const Span& span : clip->spans) {
            if (span.label == SpanLabel::kCall) spans.push_back(span);
        }
        return cut_out(*clip, spans[random_.index(spans.size())], 0.02);
    }

    void add_calls(SimulatedPassage& passage) {
        // One animal, one recording. Chance is asked only where it matters, so that species without published
        // calls are simulated as ever.
        const bool published = plan_.published > 0 && random_.chance(plan_.published);
        const Clip* const clip = published ? nullptr : &any_recording(clips_.calls);
        const double snr_db = std::isnan(plan_.snr_db) ? random_.between(-4, 22) : plan_.snr_db;
        passage.snr_db = snr_db;
        for (int n = 1 + std::min(2, random_.count(0.6)); n > 0; --n) {
            Sounding sounding = any_call(clip);
            const double length_s = sounding.spans[0].end_s - sounding.spans[0].start_s;
            place_in_world(sounding, !published);
            const double start_s = somewhere(passage, length_s);
            const bool taken =
                std::any_of(stream_.placed.begin(), stream_.placed.end(), [&](const PlacedSpan& other) {
                    return other.label == SpanLabel::kCall && other.start_s < start_s + length_s + 0.5 &&
                           start_s < other.end_s + 0.5;
                });
            if (!taken) put_call(sounding, start_s, snr_db);
        }
    }

    // As a recording of the plant might be set: from quiet to now and then overdriven.
    void set_level() {
        const double bed_db = random_.between(-58, -24);
        const auto gain = static_cast<float>(std::pow(10.0, bed_db / 20.0));
        for (float& sample : stream_.samples) sample = std::clamp(sample * gain, -1.0F, 1.0F);
    }

    const StreamPlan& plan_;
    const StreamClips& clips_;
    Random random_;
    std::map<std::string, std::vector<const Clip*>> by_kind_;
    std::vector<const Clip*> running_;
    std::vector<float> bed_in_band_;
    SimulatedStream stream_;
};

} // namespace

bool is_running_noise(const std::string& kind) {
    constexpr std::array<const char*, 6> kinds = {"machine", "engine", "air", "water", "other_noise", "saw"};
    return std::find(kinds.begin(), kinds.end(), kind) != kinds.end();
}

SimulatedStream simulate(const StreamPlan& plan, const StreamClips& clips) {
    return Builder(plan, clips).build();
}

} // namespace quietpass::tuning
