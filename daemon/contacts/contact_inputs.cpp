#include "daemon/contacts/contact_inputs.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

namespace {

using What = ContactNews::What;

// Dividing by 1000 gives the very number that reading three decimals gives.
double whole_milliseconds(double seconds) {
    return std::round(seconds * 1000.0) / 1000.0 + 0.0;
}

} // namespace

ContactInputs::ContactInputs(const StationSettings& settings, const std::vector<std::size_t>& source_of) {
    for (std::size_t i = 0; i < settings.contacts.size(); ++i) {
        const ContactSettings& contact = settings.contacts[i];
        inputs_.push_back({contact.role,
                           contact.inverted,
                           contact.offset_s,
                           source_of.empty() ? 0 : source_of.at(i),
                           Debouncer(contact.debounce_s, contact.hold_s),
                           InputWatch(i, contact.stuck_after_s),
                           -std::numeric_limits<double>::infinity(),
                           false,
                           {}});
    }
}

void ContactInputs::take(const ContactEvent& event, double at_s, double from_s) {
    switch (event.kind) {
        case ContactEvent::Kind::kChange:
            return level(event.contact, event.after_loss ? first_read_s(event.contact, at_s) : at_s,
                         event.level);
        case ContactEvent::Kind::kKnown:
            return known_until(event.source, at_s);
        case ContactEvent::Kind::kLost:
            return lost(event.source, from_s, at_s);
    }
}

// Of a contact of which nothing was known or told as lost: the beginning, for it reads as it did before.
double ContactInputs::first_read_s(std::size_t contact, double at_s) const {
    const Input& input = inputs_.at(contact);
    if (input.is_lost || std::isfinite(input.known_s)) return at_s;
    return std::min(at_s, -std::max(0.0, input.offset_s));
}

void ContactInputs::level(std::size_t contact, double time_s, bool level) {
    change(contact, time_s, level != inputs_.at(contact).inverted);
}

void ContactInputs::change(std::size_t contact, double time_s, bool closed) {
    Input& input = inputs_.at(contact);
    tell_back(contact);
    const double at_s = settle_time(input, time_s);
    if (const auto edge = input.debouncer.change(at_s, closed)) {
        tell(contact, What::kEdge, edge->time_s, edge->closed);
    }
    input.watch.change(at_s, closed);
}

void ContactInputs::known_until(std::size_t source, double time_s) {
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        if (inputs_[i].source != source) continue;
        tell_back(i);
        know(i, settle_time(inputs_[i], time_s));
    }
}

void ContactInputs::know(std::size_t contact, double at_s) {
    Input& input = inputs_[contact];
    if (const auto edge = input.debouncer.known_until(at_s)) {
        tell(contact, What::kEdge, edge->time_s, edge->closed);
    }
    // Nothing at all to come is the end of what is known, not a contact that stays closed for ever.
    if (std::isfinite(at_s)) input.watch.known_until(at_s);
}

void ContactInputs::lost(std::size_t source, double from_s, double to_s) {
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        Input& input = inputs_[i];
        if (input.source != source) continue;
        const double start_s = settle_time(input, from_s);
        if (!input.is_lost) {
            know(i, start_s);
            input.debouncer.lost();
            input.watch.lost();
            tell(i, What::kLost, start_s);
            input.is_lost = true;
        }
        const double end_s = settle_time(input, to_s);
        know(i, end_s);
        if (end_s > start_s) outages_.push_back({i, start_s, end_s});
    }
}

void ContactInputs::tell_back(std::size_t contact) {
    Input& input = inputs_[contact];
    if (!input.is_lost) return;
    input.is_lost = false;
    tell(contact, What::kBack, input.known_s);
}

void ContactInputs::tell(std::size_t contact, What what, double time_s, bool closed) {
    Input& input = inputs_[contact];
    input.news.push_back({what, contact, {time_s, input.role, closed}});
}

bool ContactInputs::take(ContactNews& news) {
    std::size_t next = inputs_.size();
    const auto time_of = [this](std::size_t i) { return inputs_[i].news.front().edge.time_s; };
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        if (inputs_[i].news.empty()) continue;
        if (next == inputs_.size() || time_of(i) < time_of(next)) next = i;
    }
    if (next == inputs_.size() || !may_go(next)) return false;
    news = inputs_[next].news.front();
    inputs_[next].news.pop_front();
    return true;
}

bool ContactInputs::take(ContactEdge& edge) {
    for (ContactNews news; take(news);) {
        if (news.what != What::kEdge) continue;
        edge = {news.contact, news.edge};
        return true;
    }
    return false;
}

bool ContactInputs::take(ContactOutage& outage) {
    if (outages_.empty()) return false;
    outage = outages_.front();
    outages_.pop_front();
    return true;
}

bool ContactInputs::take(ContactFault& fault) {
    return std::any_of(inputs_.begin(), inputs_.end(), [&](Input& input) { return input.watch.take(fault); });
}

double ContactInputs::known_until_s() const {
    double known_s = std::numeric_limits<double>::infinity();
    for (const Input& input : inputs_) {
        known_s = std::min(
            known_s, input.news.empty() ? input.debouncer.known_until_s() : input.news.front().edge.time_s);
    }
    return known_s;
}

// Whether no other contact can still give news that belongs before this one's oldest.
bool ContactInputs::may_go(std::size_t contact) const {
    if (finished_) return true;
    const double time_s = inputs_[contact].news.front().edge.time_s;
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        if (!inputs_[i].news.empty()) continue;
        const double known_s = inputs_[i].debouncer.known_until_s();
        if (known_s < time_s || (known_s == time_s && i < contact)) return false;
    }
    return true;
}

double ContactInputs::settle_time(Input& input, double time_s) const {
    input.known_s = std::max(input.known_s, whole_milliseconds(time_s + input.offset_s));
    return input.known_s;
}

} // namespace quietpass
