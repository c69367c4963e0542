// The station's contacts: raw levels in, debounced edges of all contacts out in one order of time, used live
// and offline alike, so that both give the same edges. What a contact that could not be read did is not
// known: that span comes out too.
//
// Times are station seconds. They are rounded to whole milliseconds on the way in, the resolution of
// contacts.csv, so that what was written down reads back as the same numbers; times that step back (a clock
// fit that moved) are held at the last one known. Each contact's `offset_ms` is added to its times on the way
// in. Edges of the same time come in the order of the contacts in the station file. A contact whose source
// came back is read anew: its edge stands at the time of the return. A contact starts as open; one that is
// closed at its first read gives an edge at 0, when listening began: who knows since when it was closed.
// Pure; not thread-safe.
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

// A line of contacts.csv: an edge, or the begin or end of a time in which the contact was not known.
struct ContactNews {
    enum class What { kEdge, kLost, kBack };

    What what = What::kEdge;
    std::size_t contact = 0; // index into the station's contacts
    Edge edge;               // kLost, kBack: its time_s alone counts
};

// A time in which a contact was not known.
struct ContactOutage {
    std::size_t contact = 0; // index into the station's contacts
    double start_s = 0.0;
    double end_s = 0.0;
};

class ContactInputs {
  public:
    // source_of: the source of each contact; empty: one source, number 0, for all of them.
    explicit ContactInputs(const StationSettings& settings, const std::vector<std::size_t>& source_of = {});

    // What a live source posted; from_s and at_s are the event's from_ns and at_ns in station seconds.
    void take(const ContactEvent& event, double at_s, double from_s);

    // A level as read from a device: `inverted` is applied here.
    void level(std::size_t contact, double time_s, bool level);
    // A state that says what it means, as in contacts.csv: 1 is closed.
    void change(std::size_t contact, double time_s, bool closed);
    // Nothing earlier than time_s will come from this source; infinity: nothing at all.
    void known_until(std::size_t source, double time_s);
    // The source did not answer from from_s to to_s: changes that had not held long enough are forgotten.
    void lost(std::size_t source, double from_s, double to_s);
    // No more input: what has settled is released, what has not is dropped.
    void finish() { finished_ = true; }

    // The next piece of news, in time order; false when none can be given yet.
    bool take(ContactNews& news);
    // The next edge; other news before it is passed over.
    bool take(ContactEdge& edge);
    // The next outage, or the next piece of one that goes on; as soon as it is known, whatever edges wait.
    bool take(ContactOutage& outage);
    // The next report of a stuck or chattering contact.
    bool take(ContactFault& fault);

    // What is wrong with this contact now.
    std::optional<ContactFaultKind> fault_of(std::size_t contact) const {
        return inputs_.at(contact).watch.fault();
    }

    // No news earlier than this will be taken any more, seconds.
    double known_until_s() const;

  private:
    struct Input {
        Role role;
        bool inverted;
        double offset_s;
        std::size_t source;
        Debouncer debouncer;
        InputWatch watch;
        double known_s;
        bool is_lost = false;
        std::deque<ContactNews> news;
    };

    bool may_go(std::size_t contact) const;
    double first_read_s(std::size_t contact, double at_s) const;
    double settle_time(Input& input, double time_s) const;
    void know(std::size_t contact, double time_s);
    void tell(std::size_t contact, ContactNews::What what, double time_s, bool closed = false);
    // What a contact that was lost tells at its return.
    void tell_back(std::size_t contact);

    std::vector<Input> inputs_;
    std::deque<ContactOutage> outages_;
    bool finished_ = false;
};

} // namespace quietpass
