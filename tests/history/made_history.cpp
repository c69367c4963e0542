#include "tests/history/made_history.h"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "daemon/failure.h"
#include "daemon/records/utc_text.h"
#include "daemon/shifts/schedule.h"

namespace quietpass {
namespace {

constexpr std::int64_t kSecond_ns = 1'000'000'000;
constexpr double kDay_s = 86400.0;

// What a lot of animals has in common.
struct Lot {
    std::string name;
    double excitement = 1.0; // times the usual share of vocal animals
    int left = 0;
    std::int64_t since_ns = 0;
};

class History {
  public:
    History(const StationSettings& station, const Provenance& provenance, const HistoryPlan& plan,
            Store store, const OnHistoryShift& on_shift)
        : station_(station),
          plan_(plan),
          on_shift_(on_shift),
          schedule_(station.timezone, station.shifts),
          start_ns_(first_ns(plan)),
          utc_{start_ns_, 1e9},
          random_(plan.seed),
          writer_(std::move(store), options()),
          book_(station, provenance, &schedule_, writer_,
                [this](const ClosedShift&) { on_shift_(passages_); }) {}

    void make() {
        const double end_s = kDay_s * plan_.days;
        double now_s = 0.0;
        book_.begin(now_s, utc_);
        while (now_s < end_s) {
            const std::int64_t now_ns = *utc_.at(now_s);
            const auto border_ns = schedule_.next_border(now_ns);
            const double until_s = std::min(end_s, border_ns ? seconds(*border_ns) : end_s);
            if (schedule_.shift_at(now_ns + kSecond_ns / 2)) work(now_s, until_s);
            now_s = until_s;
            advance(now_s);
        }
        book_.finish(end_s);
        flush();
    }

    const std::vector<JournalEntry>& journal() const { return journal_; }

  private:
    static std::int64_t first_ns(const HistoryPlan& plan) {
        const auto first = utc_from_text(plan.first);
        if (!first)
            throw Failure(kExitUsage,
                          "history: \"" + plan.first + "\" is no UTC time, as 2026-01-05T00:00:00Z");
        return *first;
    }
    static StoreWriterOptions options() {
        StoreWriterOptions options;
        options.batch_rows = 5000;
        options.capacity = 100000;
        return options;
    }

    double seconds(std::int64_t utc_ns) const { return static_cast<double>(utc_ns - start_ns_) / 1e9; }
    double uniform(double low, double high) {
        return std::uniform_real_distribution<double>(low, high)(random_);
    }
    double around(double median, double spread) {
        return median * std::exp(spread * std::normal_distribution<double>()(random_));
    }
    bool chance(double p) { return uniform(0.0, 1.0) < p; }

    bool changed(double time_s) const { return time_s > 0.6 * kDay_s * plan_.days; }

    void work(double from_s, double to_s) {
        const double every_s = 3600.0 / plan_.animals_per_hour;
        double next_minute_s = from_s + 60.0;
        double enter_s = from_s + uniform(20.0, 120.0);
        const double deaf_from_s =
            chance(0.05) ? uniform(from_s, to_s) : to_s + 1.0; // a microphone that failed
        const double deaf_to_s = deaf_from_s + uniform(60.0, 900.0);
        if (deaf_to_s < to_s) fail_microphone(deaf_from_s, deaf_to_s);
        while (enter_s + 60.0 < to_s) {
            if (lot_.left-- <= 0) next_lot(enter_s);
            const double end_s = pass(enter_s, enter_s < deaf_to_s && enter_s + 20.0 > deaf_from_s);
            for (; next_minute_s < end_s; next_minute_s += 60.0) minute(next_minute_s);
            enter_s = std::max(end_s + 1.0, enter_s + every_s * uniform(0.7, 1.3));
            advance(enter_s);
        }
    }

    void next_lot(double time_s) {
        lot_.name = "lot " + std::to_string(++lots_);
        lot_.excitement = around(1.0, 0.5);
        lot_.left = static_cast<int>(uniform(20.0, 120.0));
        JournalEntry entry;
        entry.kind = EntryKind::kLot;
        entry.at_utc_ns = entry.added_utc_ns = *utc_.at(time_s - 1.0);
        entry.text = lot_.name;
        journal_.push_back(entry);
        if (!change_entered_ && changed(time_s)) {
            change_entered_ = true;
            entry.kind = EntryKind::kChange;
            entry.text = "Roof over the entrance lengthened, lamp moved";
            entry.station_part = "entrance";
            entry.by = "maintenance";
            journal_.push_back(entry);
        }
    }

    void edge(Role role, double time_s, bool closed) {
        if (plan_.edges && station_.has(role))
            book_.on_edge({std::round(time_s * 1000.0) / 1000.0, role, closed});
    }
    void pulse(Role role, double from_s, double to_s) {
        edge(role, from_s, true);
        edge(role, to_s, false);
    }

    double pass(double enter_s, bool deaf) {
        Passage passage;
        passage.id = ++passages_;
        passage.entered_s = std::round(enter_s * 1000.0) / 1000.0;
        passage.body_held_s = passage.entered_s + around(5.0, 0.2);
        passage.held_s = passage.body_held_s + around(3.0, 0.3);
        passage.stunned_s = passage.held_s + around(6.0, 0.45);
        passage.released_s = passage.stunned_s + around(9.0, 0.15);
        passage.end_s = passage.released_s;
        passage.stuns = chance(0.015) ? 2 : 1;
        passage.prods = chance(0.12) ? 1 + static_cast<int>(around(0.6, 0.8)) : 0;
        passage.bangs = chance(0.08) ? 1 : 0;
        if (passage.stuns > 1) passage.flags.push_back("second_stun");
        if (deaf) {
            passage.covered = false;
            passage.excluded = "silent";
        }
        call_now_and_then(passage);
        edges_of(passage);
        for (int i = 0; i < *passage.bangs; ++i) bang(passage);
        book_.on_passage(passage);
        return passage.end_s;
    }

    void call_now_and_then(Passage& passage) {
        double share =
            plan_.vocal_share * lot_.excitement * (changed(passage.entered_s) ? plan_.after_change : 1.0);
        if (passage.prods > 0) share *= 3.0;
        if (passage.held_for_s() > 10.0) share *= 2.0;
        if (passage.stuns > 1) share *= 4.0;
        if (passage.covered && chance(share)) {
            const int calls = chance(0.3) ? 2 : 1;
            const double at_s = uniform(passage.entered_s, passage.stunned_s - 1.5);
            for (int i = 0; i < calls; ++i) call(passage, at_s + 0.7 * i);
        }
        if (chance(0.0005)) call(passage, passage.stunned_s + uniform(1.0, 5.0));
    }

    void call(Passage& passage, double at_s) {
        StationCall call;
        call.id = ++calls_;
        call.microphone = station_.microphones.front().name;
        const bool bellow = chance(0.3);
        call.heard.start_s = at_s;
        call.heard.end_s = at_s + around(0.9, 0.3);
        call.heard.kind = station_.species == Species::kPig ? CallKind::kSqueal
                          : bellow                          ? CallKind::kBellow
                                                            : CallKind::kMoo;
        call.heard.score = around(2.5, 0.3);
        call.heard.level_db = -uniform(12.0, 40.0);
        call.heard.f0_hz = station_.species == Species::kPig ? around(1200.0, 0.2) : around(150.0, 0.2);
        call.heard.reasons =
            "voice_s>0.4 +1.2; formant2_hz>586 +0.8; over_2k_db<=12 -0.1"; // as the ears write it
        call.passage_id = passage.id;
        call.passage_entered_s = passage.entered_s;
        call.phase = at_s > passage.stunned_s     ? Phase::kAfterStun
                     : at_s > passage.held_s      ? Phase::kHeld
                     : at_s > passage.body_held_s ? Phase::kBodyHeld
                                                  : Phase::kEntry;
        call.counted = call.phase != Phase::kAfterStun;
        call.reason = call.counted ? "the animal in the restrainer"
                                   : "after the stun: enters no percentage, a trained person checks the animal";
        if (call.counted) {
            ++passage.calls;
            passage.vocal = true;
        } else {
            ++passage.calls_after_stun;
            alarm_of(call);
        }
        book_.on_call(call);
    }

    void edges_of(const Passage& passage) {
        pulse(Role::kEntered, passage.entered_s, passage.entered_s + 2.5);
        pulse(Role::kBodyHeld, passage.body_held_s, passage.stunned_s + 2.0);
        pulse(Role::kHeld, passage.held_s, passage.stunned_s + 2.2);
        pulse(Role::kStunned, passage.stunned_s, passage.stunned_s + 0.6);
        if (passage.stuns > 1) pulse(Role::kStunned, passage.stunned_s + 1.5, passage.stunned_s + 1.9);
        pulse(Role::kReleased, passage.released_s, passage.released_s + 1.0);
        for (int i = 0; i < passage.prods; ++i)
            pulse(Role::kProdded, passage.entered_s + 0.3 + i, passage.entered_s + 0.8 + i);
    }

    void bang(const Passage& passage) {
        StationNoise noise;
        noise.microphone = station_.microphones.front().name;
        noise.heard.start_s = noise.heard.end_s = uniform(passage.held_s, passage.stunned_s);
        noise.heard.level_db = -uniform(10.0, 30.0);
        noise.passage_id = passage.id;
        noise.passage_entered_s = passage.entered_s;
        noise.phase = Phase::kHeld;
        book_.on_noise(noise);
    }

    void alarm_of(const StationCall& call) {
        AlarmEventRow row;
        row.alarm_id = ++alarms_;
        row.cause = "call_after_stun";
        row.severity = "at_once";
        row.count = 1;
        row.passage_id = call.passage_id;
        row.call_id = call.id;
        row.what = "A call was heard after the stun.";
        const std::int64_t at_ns = *utc_.at(call.heard.end_s + 0.7);
        for (const auto& [event, after_s] :
             {std::pair{"raised", 0}, {"acknowledged", 40}, {"cleared", 600}}) {
            row.id = station_.name + "/" + std::to_string(alarms_) + "/" + event;
            row.event = event;
            row.utc_ns = at_ns + after_s * kSecond_ns;
            row.by = after_s == 40 ? "stun operator" : "";
            row.told = after_s == 0;
            post(row);
        }
    }

    void fail_microphone(double from_s, double to_s) {
        Gap gap;
        gap.source = station_.microphones.front().name;
        gap.start_s = from_s;
        gap.end_s = to_s;
        gap.cause = GapCause::kSilent;
        book_.on_gap(gap);
    }

    void minute(double end_s) {
        for (const MicrophoneSettings& microphone : station_.microphones) {
            MicrophoneMinute minute;
            minute.microphone = microphone.name;
            minute.start_s = end_s - 60.0;
            minute.end_s = end_s;
            minute.heard_s = minute.worked_s = 60.0;
            minute.usual_known = true;
            minute.level_db = -32.0 + uniform(-2.0, 2.0);
            minute.background_db = minute.level_db - 6.0;
            minute.rumble_db = minute.level_db - 12.0;
            minute.body_db = minute.level_db - 4.0;
            minute.high_db = minute.level_db - 15.0;
            minute.hum_db = minute.level_db - 30.0;
            book_.on_health(minute);
        }
    }

    void advance(double time_s) {
        book_.advance(time_s, time_s, utc_);
        if (writer_.state().waiting > 50000) flush();
    }
    void post(const AlarmEventRow& row) {
        if (!writer_.post(row)) lost();
    }
    void flush() {
        if (!writer_.flush(std::chrono::minutes(5))) lost();
    }
    [[noreturn]] void lost() const {
        throw Failure(kExitFailure, "history: rows could not be written (" + writer_.state().error + ")");
    }

    const StationSettings& station_;
    HistoryPlan plan_;
    const OnHistoryShift& on_shift_;
    Schedule schedule_;
    std::int64_t start_ns_;
    StationUtc utc_;
    std::mt19937_64 random_;
    StoreWriter writer_;
    ShiftBook book_;
    Lot lot_;
    int lots_ = 0;
    bool change_entered_ = false;
    std::int64_t passages_ = 0;
    std::int64_t calls_ = 0;
    std::int64_t alarms_ = 0;
    std::vector<JournalEntry> journal_;
};

} // namespace

void make_history(const StationSettings& station, const Provenance& provenance, const HistoryPlan& plan,
                  Store store, const OnHistoryShift& on_shift) {
    const std::filesystem::path file = store.file();
    std::vector<JournalEntry> journal;
    {
        History history(station, provenance, plan, std::move(store), on_shift);
        history.make();
        journal = history.journal();
    }
    Store again(file);
    for (const JournalEntry& entry : journal) again.add(entry);
}

} // namespace quietpass
