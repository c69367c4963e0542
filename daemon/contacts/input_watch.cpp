#include "daemon/contacts/input_watch.h"

namespace quietpass {

namespace {
constexpr double kMinuteS = 60.0;
}

std::string_view name_of(ContactFaultKind kind) {
    switch (kind) {
        case ContactFaultKind::kStuck:
            return "stuck";
        case ContactFaultKind::kChattering:
            return "chattering";
    }
    return "";
}

void InputWatch::change(double time_s, bool closed) {
    known_until(time_s);
    if (closed == closed_) return;
    closed_ = closed;
    stuck_ = false;
    since_s_ = time_s;

    changes_s_.push_back(time_s);
    if (changes_s_.size() <= most_a_minute_) return;
    if (!chattering_) {
        faults_.push_back({contact_, changes_s_.front(), ContactFaultKind::kChattering});
        chattering_ = true;
    }
    changes_s_.pop_front();
}

void InputWatch::known_until(double time_s) {
    if (closed_ && !stuck_ && time_s - since_s_ > stuck_after_s_) {
        faults_.push_back({contact_, since_s_, ContactFaultKind::kStuck});
        stuck_ = true;
    }
    forget_before(time_s - kMinuteS);
}

void InputWatch::lost() {
    closed_ = false;
    stuck_ = false;
}

bool InputWatch::take(ContactFault& fault) {
    if (faults_.empty()) return false;
    fault = faults_.front();
    faults_.pop_front();
    return true;
}

void InputWatch::forget_before(double time_s) {
    while (!changes_s_.empty() && changes_s_.front() <= time_s) changes_s_.pop_front();
    if (changes_s_.size() <= most_a_minute_ / 2) chattering_ = false;
}

} // namespace quietpass
