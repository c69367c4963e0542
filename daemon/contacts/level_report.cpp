#include "daemon/contacts/level_report.h"

#include <algorithm>

namespace quietpass {

LevelReport::LevelReport(std::size_t source, const std::vector<std::size_t>& contacts) : source_(source) {
    for (const std::size_t contact : contacts) inputs_.push_back({contact, std::nullopt});
}

void LevelReport::begin(ContactSink& sink, std::int64_t now_ns) {
    sink_ = &sink;
    known_ns_ = now_ns;
    complete_ = was_lost_ = false;
    for (Input& input : inputs_) input.level.reset();
}

void LevelReport::learn(std::size_t number, bool level, std::int64_t at_ns) {
    Input& input = inputs_.at(number);
    const bool changed = input.level != level;
    input.level = level;
    if (complete_) {
        if (changed) post_change(input, at_ns, false);
        return;
    }
    if (unknown()) return;
    if (was_lost_) post_lost(at_ns, why_);
    complete_ = true;
    was_lost_ = false;
    for (const Input& each : inputs_) post_change(each, at_ns, true);
}

void LevelReport::known(std::int64_t at_ns) {
    if (!complete_) return;
    known_ns_ = std::max(known_ns_, at_ns);
    ContactEvent event;
    event.source = source_;
    event.at_ns = known_ns_;
    sink_->post(event);
}

void LevelReport::lost(std::int64_t to_ns, const std::string& why) {
    forget();
    post_lost(to_ns, why);
}

void LevelReport::lose(std::size_t input, std::int64_t at_ns, const std::string& why) {
    inputs_.at(input).level.reset();
    post_lost(at_ns, why);
}

void LevelReport::tell_incomplete(std::int64_t now_ns, double first_after_s, const std::string& why) {
    if (complete_) return;
    const double after_s = was_lost_ ? kTellLossEvery_s : first_after_s;
    if (static_cast<double>(now_ns - known_ns_) >= after_s * 1e9) post_lost(now_ns, why);
}

void LevelReport::post_lost(std::int64_t to_ns, const std::string& why) {
    complete_ = false;
    was_lost_ = true;
    why_ = why;
    ContactEvent event;
    event.kind = ContactEvent::Kind::kLost;
    event.source = source_;
    event.from_ns = known_ns_;
    event.at_ns = known_ns_ = std::max(known_ns_, to_ns);
    event.why = why;
    sink_->post(event);
}

std::optional<std::size_t> LevelReport::unknown() const {
    for (std::size_t i = 0; i < inputs_.size(); ++i) {
        if (!inputs_[i].level) return i;
    }
    return std::nullopt;
}

void LevelReport::post_change(const Input& input, std::int64_t at_ns, bool after_loss) {
    ContactEvent event;
    event.kind = ContactEvent::Kind::kChange;
    event.source = source_;
    event.contact = input.contact;
    event.level = *input.level;
    event.after_loss = after_loss;
    event.at_ns = std::max(known_ns_, at_ns);
    sink_->post(event);
}

} // namespace quietpass
