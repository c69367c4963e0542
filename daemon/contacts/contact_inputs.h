// The station's contacts: raw levels in, debounced edges of all contacts out in one order of time, used live
// and offline alike, so that both give the same edges.
//
// Times are station seconds. They are rounded to whole milliseconds on the way in, the resolution of
// contacts.csv, so that edges written down read back as the same numbers; times that step back (a clock fit
// that moved) are held at the last one known. Edges of the same time come in the order of the contacts in the
// station file. A contact whose source came back is read anew: its edge stands at the time of the return, and
// the loss itself is told to the Station by whoever drives both. A contact starts as open; one that is closed
// from the start gives an edge at its first read. Pure; not thread-safe.
#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <vector>

#include "daemon/contacts/contact_source.h"
#include "daemon/contacts/debouncer.h"
#include "daemon/contacts/edge.h"
#include "daemon/contacts/input_watch.h"
#include "daemon/settings/station_settings.h"

namespace quietpass {

struct ContactEdge {
    std::size_t contact = 0; // index into the station's contacts
    Edge edge;
};

class ContactInputs {
  public:
    // source_of: the source of each contact; empty: one source, number 0, for all of them.
    explicit ContactInputs(const StationSettings& settings, const std::vector<std::size_t>& source_of = {});

    // What a live source posted; at_s is the event's at_ns in station seconds.
    void take(const ContactEvent& event, double at_s);

    // A level as read from a device: `inverted` is applied here.
    void level(std::size_t contact, double time_s, bool level);
    // A state that says what it means, as in contacts.csv: 1 is closed.
    void change(std::size_t contact, double time_s, bool closed);
    // Nothing earlier than time_s will come from this source; infinity: nothing at all.
    void known_until(std::size_t source, double time_s);
    // The source did not answer up to to_s: changes that had not held long enough are forgotten.
    void lost(std::size_t source, double to_s);
    // No more input: what has settled is released, what has not is dropped.
    void finish() { finished_ = true; }

    // The next edge, in time order; false when none can be given yet.
    bool take(ContactEdge& edge);
    // The next report of a stuck or chattering contact.
    bool take(ContactFault& fault);

    // What is wrong with this contact now.
    std::optional<ContactFaultKind> fault_of(std::size_t contact) const {
        return inputs_.at(contact).watch.fault();
    }

    // No edge earlier than this will be taken any more, seconds.
    double known_until_s() const;

  private:
    struct Input {
        Role role;
        bool inverted;
        std::size_t source;
        Debouncer debouncer;
        InputWatch watch;
        double known_s;
        std::deque<Edge> edges;
    };

    bool may_go(std::size_t contact) const;
    double settle_time(Input& input, double time_s);

    std::vector<Input> inputs_;
    bool finished_ = false;
};

} // namespace quietpass
