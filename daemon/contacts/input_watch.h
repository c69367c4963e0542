// Watches the raw changes of one input for what no restrainer does: a contact closed for longer than
// stuck_after_s, or one that changes more often than most_a_minute. Each occurrence is reported once.
//
// A stuck contact is over when it opens; chattering is over when a minute has seen half of the limit or less.
// Times are seconds, never decreasing. Pure; not thread-safe; memory is bounded by most_a_minute.
#pragma once

#include <cstddef>
#include <deque>
#include <optional>
#include <string_view>

namespace quietpass {

enum class ContactFaultKind { kStuck, kChattering };

std::string_view name_of(ContactFaultKind kind); // "stuck", "chattering"

struct ContactFault {
    std::size_t contact = 0; // index into the station's contacts
    double start_s = 0.0;    // since when: it closed, or the first change of the minute
    ContactFaultKind what = ContactFaultKind::kStuck;
};

// Two changes a second for a whole minute: a judgement, not a published limit. The busiest contact of a fast
// line changes less than 60 times a minute.
inline constexpr std::size_t kMostChangesAMinute = 120;

class InputWatch {
  public:
    InputWatch(std::size_t contact, double stuck_after_s, std::size_t most_a_minute = kMostChangesAMinute)
        : contact_(contact), stuck_after_s_(stuck_after_s), most_a_minute_(most_a_minute) {}

    void change(double time_s, bool closed);
    void known_until(double time_s);
    // The input could not be read: how long it has been closed is not known any more.
    void lost();

    bool take(ContactFault& fault);

    // As it is now; stuck goes before chattering.
    std::optional<ContactFaultKind> fault() const {
        if (stuck_) return ContactFaultKind::kStuck;
        return chattering_ ? std::optional(ContactFaultKind::kChattering) : std::nullopt;
    }

  private:
    void forget_before(double time_s);

    std::size_t contact_;
    double stuck_after_s_;
    std::size_t most_a_minute_;
    bool closed_ = false;
    bool stuck_ = false;
    bool chattering_ = false;
    double since_s_ = 0.0;
    std::deque<double> changes_s_; // of the last minute
    std::deque<ContactFault> faults_;
};

} // namespace quietpass
