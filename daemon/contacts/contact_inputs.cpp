#include "daemon/contacts/contact_inputs.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

namespace {

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
                           source_of.empty() ? 0 : source_of.at(i),
                           Debouncer(contact.debounce_s),
                           InputWatch(i, contact.stuck_after_s),
                           -std::numeric_limits<double>::infinity(),
                           {}});
    }
}

void ContactInputs::take(const ContactEvent& event, double at_s) {
    switch (event.kind) {
        case ContactEvent::Kind::kChange:
            return level(event.contact, at_s, event.level);
        case ContactEvent::Kind::kKnown:
            return known_until(event.source, at_s);
        case ContactEvent::Kind::kLost:
            return lost(event.source, at_s);
    }
}

void ContactInputs::level(std::size_t contact, double time_s, bool level) {
    change(contact, time_s, level != inputs_.at(contact).inverted);
}

void ContactInputs::change(std::size_t contact, double time_s, bool closed) {
    Input& input = inputs_.at(contact);
    const double at_s = settle_time(input, time_s);
    if (const auto edge = input.debouncer.change(at_s, closed)) {
        input.edges.push_back({edge->time_s, input.role, edge->closed});
    }
    input.watch.change(at_s, closed);
}

void ContactInputs::known_until(std::size_t source, double time_s) {
    for (Input& input : inputs_) {
        if (input.source != source) continue;
        const double at_s = settle_time(input, time_s);
        if (const auto edge = input.debouncer.known_until(at_s)) {
            input.edges.push_back({edge->time_s, input.role, edge->closed});
        }
        // Nothing at all to come is the end of what is known, not a contact that stays closed for ever.
        if (std::isfinite(at_s)) input.watch.known_until(at_s);
    }
}

void ContactInputs::lost(std::size_t source, double to_s) {
    for (Input& input : inputs_) {
        if (input.source != source) continue;
        input.debouncer.lost();
        input.watch.lost();
    }
    known_until(source, to_s);
}

bool ContactInputs::take(ContactEdge& edge) {
    std::size_t next = inputs_.size();
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        if (inputs_[i].edges.empty()) continue;
        if (next == inputs_.size() || inputs_[i].edges.front().time_s < inputs_[next].edges.front().time_s)
            next = i;
    }
    if (next == inputs_.size() || !may_go(next)) return false;
    edge = {next, inputs_[next].edges.front()};
    inputs_[next].edges.pop_front();
    return true;
}

bool ContactInputs::take(ContactFault& fault) {
    return std::any_of(inputs_.begin(), inputs_.end(), [&](Input& input) { return input.watch.take(fault); });
}

double ContactInputs::known_until_s() const {
    double known_s = std::numeric_limits<double>::infinity();
    for (const Input& input : inputs_) {
        known_s = std::min(
            known_s, input.edges.empty() ? input.debouncer.known_until_s() : input.edges.front().time_s);
    }
    return known_s;
}

// Whether no other contact can still give an edge that belongs before this one's oldest.
bool ContactInputs::may_go(std::size_t contact) const {
    if (finished_) return true;
    const double time_s = inputs_[contact].edges.front().time_s;
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        if (!inputs_[i].edges.empty()) continue;
        const double known_s = inputs_[i].debouncer.known_until_s();
        if (known_s < time_s || (known_s == time_s && i < contact)) return false;
    }
    return true;
}

double ContactInputs::settle_time(Input& input, double time_s) {
    input.known_s = std::max(input.known_s, whole_milliseconds(time_s));
    return input.known_s;
}

} // namespace quietpass
