#include "daemon/contacts/contact_queue.h"

namespace quietpass {

void ContactQueue::post(const ContactEvent& event) {
    const std::lock_guard lock(mutex_);
    if (event.kind == ContactEvent::Kind::kKnown && !events_.empty()) {
        ContactEvent& last = events_.back();
        if (last.kind == ContactEvent::Kind::kKnown && last.source == event.source) {
            last.at_ns = event.at_ns;
            return;
        }
    }
    events_.push_back(event);
}

void ContactQueue::take_all(std::vector<ContactEvent>& events) {
    events.clear();
    const std::lock_guard lock(mutex_);
    events.swap(events_);
}

} // namespace quietpass
