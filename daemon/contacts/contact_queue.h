// The mailbox between the contact sources' threads and the thread that drives the Station.
//
// Thread-safe. Memory is bounded by what happens, not by time: `known` stamps of one source that follow each
// other are kept as one.
#pragma once

#include <mutex>
#include <vector>

#include "daemon/contacts/contact_source.h"

namespace quietpass {

class ContactQueue final : public ContactSink {
  public:
    void post(const ContactEvent& event) override;

    // All that was posted since the last call, oldest first; `events` is overwritten.
    void take_all(std::vector<ContactEvent>& events);

  private:
    std::mutex mutex_;
    std::vector<ContactEvent> events_; // under mutex_
};

} // namespace quietpass
