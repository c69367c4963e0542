#include "tests/contacts/scripted_source.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quietpass {

namespace {
std::int64_t nanoseconds(double seconds) {
    return std::llround(seconds * 1e9);
}
} // namespace

ScriptedSource::ScriptedSource(std::size_t number, const Clock& clock, std::vector<Change> changes,
                               std::vector<Loss> losses)
    : number_(number), clock_(clock), changes_(std::move(changes)), losses_(std::move(losses)) {
    for (const Change& change : changes_) levels_[change.contact] = false;
}

void ScriptedSource::play() {
    using Kind = ContactEvent::Kind;
    const std::int64_t now_ns = clock_.monotonic_ns();
    constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::max();
    for (;;) {
        const bool more_losses = next_loss_ < losses_.size();
        const std::int64_t loss_ns = more_losses ? nanoseconds(losses_[next_loss_].start_s) : kNever;
        const std::int64_t back_ns = more_losses ? nanoseconds(losses_[next_loss_].end_s) : kNever;
        const bool more_changes = next_change_ < changes_.size();
        const std::int64_t change_ns = more_changes ? nanoseconds(changes_[next_change_].time_s) : kNever;

        if (more_changes && change_ns <= now_ns && change_ns < back_ns) {
            const Change& change = changes_[next_change_++];
            levels_[change.contact] = change.level;
            if (change_ns < loss_ns) {
                post({Kind::kChange, number_, change.contact, change.level, false, 0, change_ns, {}});
            }
            continue;
        }
        if (!more_losses || loss_ns >= now_ns) break;
        const std::int64_t until_ns = std::min(now_ns, back_ns);
        if (until_ns > std::max(known_ns_, loss_ns)) {
            // Good until the loss began; lost from there.
            if (known_ns_ < loss_ns) post({Kind::kKnown, number_, 0, false, false, 0, loss_ns, {}});
            post({Kind::kLost, number_, 0, false, false, known_ns_, until_ns, "as the script says"});
        }
        if (back_ns > now_ns) return;
        for (const auto& [contact, level] : levels_) {
            post({Kind::kChange, number_, contact, level, true, 0, back_ns, {}});
        }
        ++next_loss_;
    }
    post({Kind::kKnown, number_, 0, false, false, 0, now_ns, {}});
}

void ScriptedSource::post(ContactEvent event) {
    known_ns_ = event.at_ns;
    if (sink_ != nullptr) sink_->post(event);
}

} // namespace quietpass
