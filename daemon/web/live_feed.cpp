#include "daemon/web/live_feed.h"

#include <boost/lockfree/spsc_queue.hpp>

namespace quietpass {

struct LiveFeed::Queue {
    explicit Queue(std::size_t room) : capacity(room), events(room) {}
    std::size_t capacity;
    boost::lockfree::spsc_queue<std::shared_ptr<const LiveEvent>> events;
};

LiveFeed::LiveFeed(const ShiftBook& book, std::size_t capacity)
    : book_(book), queue_(std::make_unique<Queue>(capacity)) {}

LiveFeed::~LiveFeed() = default;

template <typename What>
void LiveFeed::put(double time_s, const What& what) {
    const auto event = std::make_shared<const LiveEvent>(LiveEvent{book_.shift_id_of(time_s), utc_, what});
    if (!queue_->events.push(event)) lost_.fetch_add(1, std::memory_order_relaxed);
}

void LiveFeed::on_call(const StationCall& call) {
    put(call.passage_entered_s.value_or(call.heard.start_s), call);
}

void LiveFeed::on_passage(const Passage& passage) {
    put(passage.entered_s, passage);
}

void LiveFeed::on_gap(const Gap& gap) {
    put(gap.start_s, gap);
}

void LiveFeed::on_stop(double start_s, double end_s) {
    put(start_s, LiveStop{start_s, end_s});
}

void LiveFeed::on_health(const MicrophoneMinute& minute) {
    put(minute.start_s, minute);
}

void LiveFeed::on_phase(const PhaseNow& now) {
    put(now.time_s, now);
}

void LiveFeed::on_edge(const Edge& edge) {
    put(edge.time_s, edge);
}

void LiveFeed::on_alarm(const AlarmEventRow& row) {
    put(last_turn_s_, row);
}

bool LiveFeed::is_half_full() const {
    return queue_->events.write_available() < queue_->capacity / 2;
}

void LiveFeed::on_level(const LiveLevel& level) {
    if (!is_half_full()) put(level.start_s, level);
}

void LiveFeed::on_spectrum(const LiveSpectrum& column) {
    if (!is_half_full()) put(column.start_s, column);
}

void LiveFeed::turn(double heard_until_s, const std::optional<StationUtc>& utc) {
    constexpr double kTellEvery_s = 1.0;
    utc_ = utc;
    const auto shift = book_.shift_now();
    if (!shift) return;
    if (shift->shift_id == last_shift_id_ && heard_until_s < last_turn_s_ + kTellEvery_s) return;
    last_turn_s_ = heard_until_s;
    last_shift_id_ = shift->shift_id;
    put(heard_until_s, LiveTurn{heard_until_s, shift->name, shift->start_s});
}

void LiveFeed::take(const std::function<void(const LiveEvent&)>& to) {
    std::shared_ptr<const LiveEvent> event;
    while (queue_->events.pop(event)) to(*event);
}

std::uint64_t LiveFeed::lost() {
    return lost_.exchange(0, std::memory_order_relaxed);
}

} // namespace quietpass
