#include "daemon/web/live_board.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "daemon/alarms/alarm_listing.h"
#include "daemon/alarms/stored_alarm.h"
#include "daemon/records/utc_text.h"
#include "daemon/web/api_json.h"

namespace quietpass {

namespace {

using Json = nlohmann::ordered_json;

constexpr double kSpectrumKept_s = 20.0;
constexpr std::size_t kPassagesKept = 50;
constexpr std::size_t kCallsKept = 200; // passages whose calls wait for them: far more than ride in line
constexpr std::size_t kAlarmRowsKept = 2000;
constexpr std::size_t kRowsOfAnAlarm = 50;

double rounded(double value, double per) {
    return std::round(value * per) / per;
}

Json seconds(double value) {
    return std::isfinite(value) ? Json(rounded(value, 1000.0)) : Json();
}

Json utc_of(const std::optional<StationUtc>& utc, double time_s) {
    const auto utc_ns = utc ? utc->at(time_s) : std::nullopt;
    return utc_ns ? Json(utc_text(*utc_ns)) : Json();
}

Json figure(const std::optional<double>& value, double per) {
    return value ? Json(rounded(*value, per)) : Json();
}

std::string text_of(const Json& json) {
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

LiveBoard::Message message(const std::string& text) {
    return std::make_shared<const std::string>(text);
}

// {"kind":KIND,NAME:OBJECT}
LiveBoard::Message message(const char* kind, const std::string& object) {
    return message(std::string(R"({"kind":")") + kind + R"(",")" + kind + R"(":)" + object + '}');
}

std::string call_text(const LiveEvent& event, const StationCall& call) {
    return text_of({{"shift_id", event.shift_id},
                    {"call_id", call.id},
                    {"microphone", call.microphone},
                    {"start", utc_of(event.utc, call.heard.start_s)},
                    {"start_s", seconds(call.heard.start_s)},
                    {"end_s", seconds(call.heard.end_s)},
                    {"call", name_of(call.heard.kind)},
                    {"level_db", rounded(call.heard.level_db, 10.0)},
                    {"passage_id", or_null(call.passage_id)},
                    {"phase", call.phase ? Json(name_of(*call.phase)) : Json()},
                    {"counted", call.counted},
                    {"reason", call.reason}});
}

template <typename Texts>
std::string joined(const Texts& texts) {
    std::string all = "[";
    for (const std::string& text : texts) {
        if (all.size() > 1) all += ',';
        all += text;
    }
    return all + ']';
}

template <typename Value>
std::string values_of(const std::map<std::string, Value>& map) {
    std::vector<std::string> texts;
    for (const auto& [key, text] : map) texts.push_back(text);
    return joined(texts);
}

std::string passage_text(const LiveEvent& event, const Passage& passage, const std::string& calls) {
    std::string text = text_of({{"shift_id", event.shift_id},
                                {"passage_id", passage.id},
                                {"entered", utc_of(event.utc, passage.entered_s)},
                                {"entered_s", seconds(passage.entered_s)},
                                {"body_held_s", seconds(passage.body_held_s)},
                                {"held_s", seconds(passage.held_s)},
                                {"stunned_s", seconds(passage.stunned_s)},
                                {"released_s", seconds(passage.released_s)},
                                {"end_s", seconds(passage.end_s)},
                                {"held_for_s", seconds(passage.held_for_s())},
                                {"counted_calls", passage.calls},
                                {"vocal", passage.vocal},
                                {"covered", passage.covered},
                                {"excluded", passage.excluded},
                                {"stuns", passage.stuns},
                                {"prods", passage.prods},
                                {"flags", passage.flags}});
    text.back() = ','; // the calls are text already
    return text + R"("calls":)" + calls + '}';
}

Json durations(const Durations& times) {
    return {{"median", figure(times.median, 1000.0)},
            {"p95", figure(times.p95, 1000.0)},
            {"max", figure(times.max, 1000.0)},
            {"n", times.n}};
}

std::string alarm_text(const std::vector<AlarmEventRow>& rows) {
    const std::string list = alarm_json(alarms_in(rows), false);
    return text_of(Json::parse(list).at(0));
}

const char* unit_of(const MicrophoneSettings& microphone) {
    return microphone.reference ? "dB SPL" : "dB re full scale";
}

double sensitivity_db(const MicrophoneSettings& microphone) {
    return microphone.reference ? microphone.reference->sensitivity_db_spl_fs : 0.0;
}

} // namespace

LiveBoard::LiveBoard(const StationSettings& settings, PageMetrics& metrics)
    : settings_(settings), metrics_(metrics), heard_(settings.microphones.size()) {
    metrics_.share(std::numeric_limits<double>::quiet_NaN());
}

void LiveBoard::recall(const std::vector<AlarmEventRow>& rows) {
    const std::lock_guard held(lock_);
    for (const AlarmEventRow& row : rows) take_alarm(row);
    snapshot_.reset();
}

void LiveBoard::apply(const LiveEvent& event, const Send& send) {
    const std::lock_guard held(lock_);
    snapshot_.reset();
    std::visit([&](const auto& what) { take(event, what, send); }, event.what);
}

LiveBoard::ShiftSoFar& LiveBoard::shift_of(std::int64_t shift_id, double time_s) {
    shifts_.try_emplace(shift_id, settings_, time_s);
    while (shifts_.size() > 2) shifts_.erase(shifts_.begin()); // one that closes beside the one that is open
    return shifts_.rbegin()->first == shift_id ? shifts_.rbegin()->second : shifts_.begin()->second;
}

void LiveBoard::take(const LiveEvent& event, const LiveTurn& turn, const Send& send) {
    heard_until_s_ = turn.heard_until_s;
    metrics_.heard_until(turn.heard_until_s);
    if (event.utc) heard_until_utc_ns_ = event.utc->at(turn.heard_until_s);
    const bool first = !shifts_.contains(event.shift_id);
    ShiftSoFar& shift = shift_of(event.shift_id, turn.shift_start_s);
    shift.name = turn.shift;
    shift.start_s = turn.shift_start_s;
    if (event.utc) shift.start_utc_ns = event.utc->at(turn.shift_start_s);
    if (first) tell_share(send);
}

void LiveBoard::take(const LiveEvent& event, const StationCall& call, const Send& send) {
    shift_of(event.shift_id, call.heard.start_s).tally.add(call);
    metrics_.call(call.counted);
    const std::string text = call_text(event, call);
    if (call.passage_id) {
        if (calls_.size() >= kCallsKept) calls_.erase(calls_.begin());
        calls_[*call.passage_id].push_back(text);
    }
    send(message("call", text));
}

void LiveBoard::take(const LiveEvent& event, const Passage& passage, const Send& send) {
    shift_of(event.shift_id, passage.entered_s).tally.add(passage);
    metrics_.passage(passage.excluded.empty() && why_never_scored(settings_).empty(), passage.vocal);
    const auto calls = calls_.find(passage.id);
    const std::string text =
        passage_text(event, passage, calls == calls_.end() ? "[]" : joined(calls->second));
    if (calls != calls_.end()) calls_.erase(calls);
    passages_.push_back(text);
    if (passages_.size() > kPassagesKept) passages_.pop_front();
    send(message("passage", text));
    tell_share(send);
}

void LiveBoard::take(const LiveEvent& event, const Gap& gap, const Send&) {
    shift_of(event.shift_id, gap.start_s).tally.add(gap);
}

void LiveBoard::take(const LiveEvent& event, const LiveStop& stop, const Send&) {
    shift_of(event.shift_id, stop.start_s).tally.add_stop(stop.start_s, stop.end_s);
}

void LiveBoard::take(const LiveEvent& event, const Edge& edge, const Send& send) {
    const std::string role(name_of(edge.role));
    const std::string text = text_of({{"role", role},
                                      {"closed", edge.closed},
                                      {"time", utc_of(event.utc, edge.time_s)},
                                      {"time_s", seconds(edge.time_s)}});
    contacts_[role] = text;
    send(message("edge", text));
}

void LiveBoard::take(const LiveEvent& event, const PhaseNow& now, const Send& send) {
    now_ = text_of({{"passage_id", or_null(now.passage_id)},
                    {"phase", now.phase ? Json(name_of(*now.phase)) : Json()},
                    {"since", utc_of(event.utc, now.time_s)},
                    {"since_s", seconds(now.time_s)}});
    send(message("phase", now_));
}

void LiveBoard::take(const LiveEvent& event, const MicrophoneMinute& minute, const Send& send) {
    const std::size_t number = microphone_named(minute.microphone);
    const bool heard = minute.heard_s > 0.0;
    if (number < heard_.size()) {
        heard_[number].background_db = heard ? std::optional(minute.background_db) : std::nullopt;
        if (heard_[number].level_until_s >= minute.end_s) return; // seconds tell more
    }
    const auto level = [heard](double db) { return heard ? Json(rounded(db, 10.0)) : Json(); };
    const std::string text = text_of({{"microphone", minute.microphone},
                                      {"end", utc_of(event.utc, minute.end_s)},
                                      {"end_s", seconds(minute.end_s)},
                                      {"unit", minute.sensitivity_db ? "dB SPL" : "dB re full scale"},
                                      {"level_db", level(minute.level_db)},
                                      {"background_db", level(minute.background_db)},
                                      {"of_s", 60},
                                      {"heard_s", minute.heard_s}});
    levels_[minute.microphone] = text;
    send(message("level", text));
}

void LiveBoard::take(const LiveEvent& event, const LiveLevel& level, const Send& send) {
    if (level.microphone >= heard_.size()) return;
    const MicrophoneSettings& microphone = settings_.microphones[level.microphone];
    Heard& heard = heard_[level.microphone];
    heard.level_until_s = level.end_s;
    const std::string text =
        text_of({{"microphone", microphone.name},
                 {"end", utc_of(event.utc, level.end_s)},
                 {"end_s", seconds(level.end_s)},
                 {"unit", unit_of(microphone)},
                 {"level_db", rounded(level.level_db + sensitivity_db(microphone), 10.0)},
                 {"background_db", figure(heard.background_db, 10.0)},
                 {"of_s", 1},
                 {"heard_s", rounded(level.end_s - level.start_s, 1000.0)}});
    levels_[microphone.name] = text;
    send(message("level", text));
}

void LiveBoard::take(const LiveEvent&, const LiveSpectrum& column, const Send& send) {
    if (column.microphone >= heard_.size()) return;
    const MicrophoneSettings& microphone = settings_.microphones[column.microphone];
    const auto more_db = static_cast<int>(std::lround(sensitivity_db(microphone)));
    Json levels = Json::array();
    for (const std::int8_t level_db : column.levels_db) levels.push_back(level_db + more_db);
    Json json = {{"start_s", seconds(column.start_s)}, {"levels_db", std::move(levels)}};
    auto& columns = heard_[column.microphone].columns;
    columns.emplace_back(column.start_s, text_of(json));
    while (columns.front().first < column.start_s - kSpectrumKept_s) columns.pop_front();
    json["microphone"] = microphone.name;
    send(message("spectrum", text_of(json)));
}

std::size_t LiveBoard::microphone_named(const std::string& name) const {
    const auto& all = settings_.microphones;
    return static_cast<std::size_t>(
        std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.name == name; }) -
        all.begin());
}

std::string LiveBoard::spectrum_text() const {
    static const std::vector<double> centres_hz = spectrum_centres_hz();
    Json bands = Json::array();
    for (const double hz : centres_hz) bands.push_back(rounded(hz, 10.0));
    std::vector<std::string> microphones;
    for (std::size_t i = 0; i < heard_.size(); ++i) {
        std::vector<std::string> columns;
        for (const auto& [start_s, text] : heard_[i].columns) {
            if (start_s >= heard_until_s_ - kSpectrumKept_s) columns.push_back(text);
        }
        const MicrophoneSettings& microphone = settings_.microphones[i];
        std::string text = text_of({{"microphone", microphone.name}, {"unit", unit_of(microphone)}});
        text.back() = ',';
        microphones.push_back(text + R"("columns":)" + joined(columns) + '}');
    }
    return R"({"column_s":)" + text_of(kColumn_s) + R"(,"bands_hz":)" + text_of(bands) +
           R"(,"microphones":)" + joined(microphones) + '}';
}

void LiveBoard::take(const LiveEvent&, const AlarmEventRow& row, const Send& send) {
    if (!take_alarm(row)) return;
    const auto open = open_.find(row.alarm_id);
    if (open != open_.end()) return send(message("alarm", alarm_text(open->second)));
    // Its last word; what it was is known to who listened.
    send(message("alarm", text_of({{"alarm", row.alarm_id}, {"state", "cleared"}})));
}

bool LiveBoard::take_alarm(const AlarmEventRow& row) {
    if (!seen_alarm_rows_.insert(row.id).second) return false;
    seen_in_order_.push_back(row.id);
    if (seen_in_order_.size() > kAlarmRowsKept) {
        seen_alarm_rows_.erase(seen_in_order_.front());
        seen_in_order_.pop_front();
    }
    if (row.event == "cleared") {
        open_.erase(row.alarm_id);
    } else {
        auto& rows = open_[row.alarm_id];
        rows.push_back(row);
        // The first row says when it was raised; of the others the latest tell.
        if (rows.size() > kRowsOfAnAlarm) rows.erase(rows.begin() + 1);
    }
    metrics_.open_alarms(open_.size());
    return true;
}

std::string LiveBoard::share_text() const {
    if (shifts_.empty()) return "null";
    const auto& [shift_id, shift] = *shifts_.rbegin();
    const ShiftRecord record = shift.tally.record(shift.start_s, std::max(heard_until_s_, shift.start_s));
    metrics_.share(record.percent.value_or(std::numeric_limits<double>::quiet_NaN()));
    return text_of(
        {{"shift_id", shift_id},
         {"shift", shift.name},
         {"start", shift.start_utc_ns ? Json(utc_text(*shift.start_utc_ns)) : Json()},
         {"passages", record.passages},
         {"scored", record.scored},
         {"vocal", record.vocal},
         {"percent", figure(record.percent, 100.0)},
         {"percent_low", figure(record.percent_low, 100.0)},
         {"percent_high", figure(record.percent_high, 100.0)},
         {"limit_percent", record.limit_percent},
         {"basis", record.basis},
         {"verdict", name_of(record.verdict)},
         {"interval_contains_limit", or_null(record.interval_contains_limit)},
         {"not_scored_because", record.not_scored_because.empty() ? Json() : Json(record.not_scored_because)},
         {"coverage",
          {{"passages", figure(record.coverage.passages, 10000.0)},
           {"time_heard", figure(record.coverage.time_heard, 10000.0)},
           {"contacts_known", figure(record.coverage.contacts_known, 10000.0)}}},
         {"line_rate_per_hour", figure(record.line_rate_per_hour, 10.0)},
         {"held_for_s", durations(record.held_for_s)},
         {"calls_after_stun", record.calls_after_stun}});
}

void LiveBoard::tell_share(const Send& send) {
    send(message("share", share_text()));
}

std::optional<std::int64_t> LiveBoard::heard_until_utc_ns() const {
    const std::lock_guard held(lock_);
    return heard_until_utc_ns_;
}

bool LiveBoard::is_open(std::int64_t alarm_id) const {
    const std::lock_guard held(lock_);
    return open_.contains(alarm_id);
}

LiveBoard::Message LiveBoard::snapshot() const {
    const std::lock_guard held(lock_);
    if (snapshot_) return snapshot_;
    std::vector<std::string> alarms;
    for (const auto& [alarm, rows] : open_) alarms.push_back(alarm_text(rows));
    const Json station = {{"name", settings_.name},
                          {"species", name_of(settings_.species)},
                          {"timezone", settings_.timezone},
                          {"cut", settings_.has(Role::kCut)}};
    snapshot_ = message(R"({"kind":"hello","station":)" + text_of(station) + R"(,"heard_until":)" +
                        text_of(heard_until_utc_ns_ ? Json(utc_text(*heard_until_utc_ns_)) : Json()) +
                        R"(,"heard_until_s":)" + text_of(seconds(heard_until_s_)) + R"(,"share":)" +
                        share_text() + R"(,"passages":)" + joined(passages_) + R"(,"alarms":)" +
                        joined(alarms) + R"(,"now":)" + now_ + R"(,"contacts":)" + values_of(contacts_) +
                        R"(,"levels":)" + values_of(levels_) + R"(,"spectrum":)" + spectrum_text() + '}');
    return snapshot_;
}

} // namespace quietpass
