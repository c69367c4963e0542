// A live source of contact levels: one device (or script) that several of the station's contacts are wired
// to.
//
// Stamps are nanoseconds of the daemon's Clock (daemon/clock.h, monotonic). A source posts in this order of
// time:
//   kChange  a level was read that differs from the one before. Levels start as open (false); after a loss
//   every
//            level is posted anew, changed or not, with `after_loss`, at the time of the return.
//   kKnown   every input of the source was read at at_ns: nothing earlier will be posted any more.
//   kLost    the source did not answer from from_ns (its last good read) to at_ns. While a loss lasts, spans
//   that
//            touch each other are posted as it grows, so that nobody waits for the end to know of it; nothing
//            earlier than at_ns will be posted any more. `why` says what went wrong.
// Thread contract: a source runs on a thread of its own between start() and stop(), and posts from there. It
// never throws out of that thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

namespace quietpass {

struct ContactEvent {
    enum class Kind { kChange, kKnown, kLost };

    Kind kind = Kind::kKnown;
    std::size_t source = 0;  // the number the source was given
    std::size_t contact = 0; // kChange: index into the station's contacts
    bool level = false;      // kChange: as read; what it means (`inverted`) is ContactInputs' business
    bool after_loss =
        false; // kChange: read when the source came back, it may have changed at any time of the loss
    std::int64_t from_ns = 0; // kLost
    std::int64_t at_ns = 0;
    std::string why; // kLost
};

class ContactSink {
  public:
    virtual ~ContactSink() = default;
    // Called from the sources' threads, so thread-safe; must not block for long.
    virtual void post(const ContactEvent& event) = 0;
};

class ContactSource {
  public:
    virtual ~ContactSource() = default; // stops
    virtual const std::string& name() const = 0;
    // The sink must outlive the source or its stop().
    virtual void start(ContactSink& sink) = 0;
    // Returns when nothing more will be posted. May be called twice.
    virtual void stop() = 0;
};

} // namespace quietpass
