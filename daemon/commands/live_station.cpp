#include "daemon/commands/live_station.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

#include "daemon/capture/clock_fit.h"

namespace quietpass {

namespace {

constexpr std::int64_t kTurn_ns = 50'000'000; // of the Clock: how long a turn waits for audio
constexpr std::int64_t kLookAtUtcEvery_ns = 10'000'000'000;
constexpr double kPlaceWithin_s = 0.002; // microphones are moved in station time when they are off by more
// How long the end waits for the contacts to be known up to the last sample.
constexpr std::int64_t kContactsPatience_ns = 2'000'000'000;

} // namespace

LiveStation::LiveStation(const StationSettings& settings, const Clock& clock, Inputs inputs,
                         const std::vector<std::size_t>& source_of_contact, Station& station, ShiftBook& book,
                         Say say, OnNews on_news)
    : settings_(settings),
      clock_(clock),
      inputs_(std::move(inputs)),
      contact_inputs_(settings, source_of_contact),
      station_(station),
      book_(book),
      say_(std::move(say)),
      on_news_(std::move(on_news)),
      utc_fit_(clock.monotonic_ns(), clock.utc_ns()),
      last_utc_look_ns_(clock.monotonic_ns()),
      next_index_(inputs_.audio.size(), 0),
      losing_(inputs_.audio.size(), 0),
      trouble_(inputs_.audio.size()),
      contact_source_lost_(inputs_.contact_sources.size(), false) {
    for (const std::size_t source : source_of_contact)
        source_name_of_contact_.push_back(inputs_.contact_sources.at(source));
    std::size_t microphone = 0;
    for (const AudioSource* source : inputs_.audio) {
        first_microphone_.push_back(microphone);
        microphone += static_cast<std::size_t>(source->channels());
    }
}

double LiveStation::station_s(std::int64_t monotonic_ns) const {
    return inputs_.audio.front()->clock_fit()->index_at(monotonic_ns) / rate_hz(0);
}

std::optional<StationUtc> LiveStation::utc() const {
    const ClockFit& fit = *inputs_.audio.front()->clock_fit();
    if (!fit.started()) return std::nullopt;
    const double now_s = heard_until_s();
    const double ns_per_s = 1e9 * (1.0 + fit.drift_ppm() * 1e-6);
    const std::int64_t now_utc_ns =
        utc_fit_.utc_ns_at(fit.monotonic_ns_at(static_cast<double>(next_index_.front())));
    return StationUtc{now_utc_ns - static_cast<std::int64_t>(std::llround(now_s * ns_per_s)), ns_per_s};
}

const std::string& LiveStation::microphone_of(std::size_t source) const {
    return settings_.microphones[first_microphone_[source]].name;
}

double LiveStation::losing_s(std::size_t source) const {
    return static_cast<double>(losing_[source]) / rate_hz(source);
}

std::optional<ContactFaultKind> LiveStation::contact_fault(std::size_t contact) const {
    return contact_inputs_.fault_of(contact);
}

bool LiveStation::hear_next(std::size_t source, std::int64_t deadline_ns) {
    if (!inputs_.audio[source]->next(stretch_, deadline_ns) || stretch_.kind == Stretch::Kind::kEnd)
        return false;
    std::int64_t count = stretch_.count;
    // for_s ends at the very sample, so that a limited run hears what a file of that length holds.
    if (source == 0 && limit_index_ >= 0) count = std::min(count, limit_index_ - next_index_[0]);
    const int channels = inputs_.audio[source]->channels();
    for (int channel = 0; channel < channels; ++channel) {
        const std::size_t microphone = first_microphone_[source] + static_cast<std::size_t>(channel);
        if (stretch_.kind == Stretch::Kind::kLoss) {
            if (ring_hears(microphone)) inputs_.ring->lose(microphone, count);
            if (inputs_.beside != nullptr) inputs_.beside->on_loss(microphone);
            station_.lose(microphone, count, stretch_.cause);
        } else {
            const auto samples = stretch_.channel(channel).first(static_cast<std::size_t>(count));
            if (ring_hears(microphone)) inputs_.ring->hear(microphone, samples);
            if (inputs_.beside != nullptr) {
                const double own_s = static_cast<double>(next_index_[source]) / rate_hz(source);
                inputs_.beside->on_sound(microphone, rate_hz(source),
                                         own_s + station_.microphone_offset_s(microphone), samples);
            }
            station_.hear(microphone, samples);
        }
    }
    tell_loss(source, stretch_.kind == Stretch::Kind::kLoss ? count : 0);
    next_index_[source] += count;
    return true;
}

void LiveStation::tell_loss(std::size_t source, std::int64_t lost) {
    const std::string microphone = "microphone " + microphone_of(source);
    if (lost > 0) {
        if (losing_[source] == 0) {
            say_(true, microphone + ": sound is lost (" + std::string(name_of(stretch_.cause)) +
                           "); passages are not covered");
        }
        losing_[source] += lost;
        if (std::string trouble = inputs_.audio[source]->trouble(); trouble != trouble_[source]) {
            if (!trouble.empty()) say_(true, trouble + "; it is tried again");
            trouble_[source] = std::move(trouble);
        }
    } else if (losing_[source] > 0) {
        char text[32];
        std::snprintf(text, sizeof text, "%.2f", static_cast<double>(losing_[source]) / rate_hz(source));
        say_(false, microphone + ": heard again after " + text + " s");
        losing_[source] = 0;
        trouble_[source].clear();
    }
}

void LiveStation::take_contacts() {
    inputs_.contacts->take_all(events_);
    for (const ContactEvent& event : events_) {
        const double at_s = station_s(event.at_ns);
        const double from_s = event.kind == ContactEvent::Kind::kLost ? station_s(event.from_ns) : at_s;
        contact_inputs_.take(event, at_s, from_s);
        const std::string& name = inputs_.contact_sources[event.source];
        if (event.kind == ContactEvent::Kind::kLost) {
            if (!contact_source_lost_[event.source]) {
                say_(true,
                     "contacts at " + name + " do not answer (" + event.why + "); passages are not covered");
            }
            contact_source_lost_[event.source] = true;
        } else if (contact_source_lost_[event.source]) {
            contact_source_lost_[event.source] = false;
            say_(false, "contacts at " + name + " answer again");
        }
    }
    ContactOutage outage;
    while (contact_inputs_.take(outage)) {
        station_.lose_contacts(source_name_of_contact_[outage.contact], outage.start_s, outage.end_s);
    }
    give_news();
    ContactFault fault;
    while (contact_inputs_.take(fault)) {
        const std::string& contact = settings_.contacts[fault.contact].name;
        const std::string what(name_of(fault.what));
        say_(true, "contact " + contact + " is " + what + "; check its wiring and its gate");
        book_.on_contact_fault(fault.start_s, contact, what,
                               "since station second " + std::to_string(fault.start_s));
    }
}

void LiveStation::give_news() {
    ContactNews news;
    while (contact_inputs_.take(news)) news_ahead_.push_back(news);
    // Contacts are known a little sooner than the sound of the same moment. Edges wait for it, so that a run
    // that stops here has given the Station no more than its recording holds.
    const double heard_s = heard_until_s();
    for (; !news_ahead_.empty() && news_ahead_.front().edge.time_s < heard_s; news_ahead_.pop_front()) {
        const ContactNews& due = news_ahead_.front();
        if (due.what == ContactNews::What::kEdge) {
            station_.take(due.edge);
            book_.on_edge(due.edge);
        }
        on_news_(due);
    }
    station_.contacts_known_until(std::min(heard_s, contact_inputs_.known_until_s()));
}

void LiveStation::place_microphones() {
    const ClockFit& first = *inputs_.audio.front()->clock_fit();
    for (std::size_t source = 1; source < inputs_.audio.size(); ++source) {
        const ClockFit* fit = inputs_.audio[source]->clock_fit();
        if (fit == nullptr || !fit->started() || !first.started()) continue;
        const auto index = static_cast<double>(next_index_[source]);
        const double offset_s = station_s(fit->monotonic_ns_at(index)) - index / rate_hz(source);
        for (int channel = 0; channel < inputs_.audio[source]->channels(); ++channel) {
            const std::size_t microphone = first_microphone_[source] + static_cast<std::size_t>(channel);
            if (std::abs(station_.microphone_offset_s(microphone) - offset_s) > kPlaceWithin_s) {
                station_.place_microphone(microphone, offset_s);
                if (ring_hears(microphone)) inputs_.ring->place(microphone, offset_s);
            }
        }
    }
}

void LiveStation::listen(const std::atomic<bool>& stop, double for_s,
                         const std::function<void(std::int64_t)>& each_turn) {
    if (for_s > 0.0) limit_index_ = std::llround(for_s * rate_hz(0));
    bool begun = false;
    while (!stop.load() && (limit_index_ < 0 || next_index_[0] < limit_index_)) {
        const std::int64_t deadline_ns = clock_.monotonic_ns() + kTurn_ns;
        // What is there is taken at once; only the first microphone is waited for.
        for (std::size_t source = 0; source < inputs_.audio.size(); ++source) {
            if (!hear_next(source, source == 0 ? deadline_ns : 0)) continue;
            while (!stop.load() && (limit_index_ < 0 || next_index_[0] < limit_index_) &&
                   hear_next(source, 0)) {
            }
        }
        if (inputs_.audio.front()->clock_fit()->started()) {
            if (!begun) book_.begin(0.0, utc());
            begun = true;
            place_microphones();
            take_contacts();
            book_.advance(heard_until_s(), station_.settled_until_s(), utc());
        }
        if (clock_.monotonic_ns() - last_utc_look_ns_ > kLookAtUtcEvery_ns) {
            last_utc_look_ns_ = clock_.monotonic_ns();
            utc_fit_.follow(last_utc_look_ns_, clock_.utc_ns());
        }
        each_turn(next_index_[0]);
    }
    if (!begun) return;
    wait_for_contacts(heard_until_s(), stop);
    station_.finish();
    book_.finish(heard_until_s());
}

void LiveStation::wait_for_contacts(double until_s, const std::atomic<bool>& stop) {
    const std::int64_t give_up_ns = clock_.monotonic_ns() + kContactsPatience_ns;
    while (!stop.load() && contact_inputs_.known_until_s() < until_s && clock_.monotonic_ns() < give_up_ns) {
        // Going on to hear is how time passes here; what is heard after the end is dropped.
        inputs_.audio.front()->next(stretch_, clock_.monotonic_ns() + kTurn_ns);
        take_contacts();
    }
}

} // namespace quietpass
