// Drives a Station from live sources: the loop of the daemon.
//
// Threads: everything here runs on the caller's thread. Audio callbacks fill rings (capture/), contact
// sources poll on their own threads and post to a ContactQueue (contacts/), the StoreWriter has a thread of
// its own, and so have the ClipWriter, the AlarmHandOver and the page (which hears of what is found by its
// LiveFeed); only those six cross threads. stop may be set from any thread or a signal handler.
//
// Time: the first microphone's sample clock is station time. Contact stamps (monotonic) are brought into it
// by that stream's running fit, and the other microphones are placed in it by theirs.
#pragma once

#include <atomic>
#include <cstdint>
#include <deque>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/capture/audio_source.h"
#include "daemon/capture/utc_fit.h"
#include "daemon/clips/sound_ring.h"
#include "daemon/clock.h"
#include "daemon/contacts/contact_inputs.h"
#include "daemon/contacts/contact_queue.h"
#include "daemon/records/station_utc.h"
#include "daemon/shift_book.h"
#include "daemon/sound_listener.h"
#include "daemon/station.h"

namespace quietpass {

class LiveStation {
  public:
    struct Inputs {
        // Microphones are numbered through the sources' channels, in the station file's order.
        std::vector<AudioSource*> audio;
        ContactQueue* contacts = nullptr;
        std::vector<std::string> contact_sources; // their names, by number
        SoundRing* ring = nullptr;                // hears and loses what the Station does; null: none
        SoundListener* beside = nullptr;          // so does this
    };
    // Told of everything worth a line in the log.
    using Say = std::function<void(bool warning, const std::string& line)>;
    // Called for each edge given to the Station and for each outage of a contact, for contacts.csv.
    using OnNews = std::function<void(const ContactNews&)>;

    LiveStation(const StationSettings& settings, const Clock& clock, Inputs inputs,
                const std::vector<std::size_t>& source_of_contact, Station& station, ShiftBook& book, Say say,
                OnNews on_news);

    // Listens until `stop` is set or, with for_s > 0, exactly so many seconds of the first microphone were
    // heard. each_turn is called about twenty times a second with the samples gone through so far.
    void listen(const std::atomic<bool>& stop, double for_s,
                const std::function<void(std::int64_t)>& each_turn);

    double heard_until_s() const { return static_cast<double>(next_index_.front()) / rate_hz(0); }
    std::optional<StationUtc> utc() const; // of station seconds; none before the first sample

    // How things are now, of each source by its number in Inputs.
    const Inputs& inputs() const { return inputs_; }
    const std::string& microphone_of(std::size_t source) const; // the name of its first
    double losing_s(std::size_t source) const;                  // the loss under way; 0: heard
    bool contacts_lost(std::size_t source) const { return contact_source_lost_[source]; }
    std::optional<ContactFaultKind> contact_fault(std::size_t contact) const;
    double utc_error_s() const { return utc_fit_.error_s(); }

  private:
    bool hear_next(std::size_t source, std::int64_t deadline_ns);
    // One line when sound is lost, one when it is back. lost: samples; 0: heard.
    bool ring_hears(std::size_t microphone) const {
        return inputs_.ring != nullptr && microphone < inputs_.ring->microphones();
    }
    void tell_loss(std::size_t source, std::int64_t lost);
    void take_contacts();
    void give_news();
    void place_microphones();
    void wait_for_contacts(double until_s, const std::atomic<bool>& stop);
    double station_s(std::int64_t monotonic_ns) const;
    double rate_hz(std::size_t source) const { return inputs_.audio[source]->sample_rate_hz(); }

    StationSettings settings_;
    const Clock& clock_;
    Inputs inputs_;
    ContactInputs contact_inputs_;
    Station& station_;
    ShiftBook& book_;
    Say say_;
    OnNews on_news_;
    UtcFit utc_fit_;
    std::int64_t last_utc_look_ns_;
    std::vector<std::size_t> first_microphone_; // of each source
    std::vector<std::int64_t> next_index_;      // of each source
    std::vector<std::int64_t> losing_;          // of each source: samples lost in the loss under way
    std::vector<std::string> trouble_;          // of each source: what was last said of that loss
    std::int64_t limit_index_ = -1;             // of the first source; −1: none
    std::vector<std::string> source_name_of_contact_;
    std::vector<ContactEvent> events_;
    std::vector<bool> contact_source_lost_;
    std::deque<ContactNews> news_ahead_; // later than what was heard
    Stretch stretch_;
};

} // namespace quietpass
