// Figures over passages and of what people entered, as the commands give them by --json.
#include <charconv>

#include "daemon/records/people_rows.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/station_time.h"
#include "daemon/statements/change_statement.h"
#include "daemon/statements/factors_statement.h"
#include "daemon/statements/lot_statement.h"
#include "daemon/statements/span_facts.h"
#include "daemon/statements/window_rows.h"
#include "daemon/web/api_route.h"
#include "daemon/web/figure_json.h"

namespace quietpass {

namespace {

// A month of a busy station. More would keep the page waiting over a second; the commands have no such limit.
constexpr std::int64_t kMostPassages = 100'000;

Window window_of(const Api::Call& call, const char* parameter, const LocalTime& time) {
    const std::string text = call.any_word(parameter);
    const auto window = window_from(text.empty() ? kUsualWindow : text, time);
    if (!window) throw Refusal{400, "this is no window", parameter, std::string("give ") + kWindowExpected};
    return *window;
}

void bound(SQLite::Database& database, const RecordSpan& span, const char* parameter) {
    const std::int64_t passages = passages_within(database, span);
    if (passages <= kMostPassages) return;
    throw Refusal{400, "these are " + std::to_string(passages) + " passages, too many at once", parameter,
                  "choose a shorter time, with at most " + std::to_string(kMostPassages) +
                      " passages in it; the commands have no such limit"};
}

// The span that an entered lot holds for.
RecordSpan span_of_lot(SQLite::Database& database, std::int64_t id, Refusal unknown) {
    const auto lot = read_entry_in_force(database, id);
    if (!lot || lot->kind != EntryKind::kLot) throw unknown;
    return {lot->at_utc_ns, lot_end(database, *lot), {}};
}

// "5,10,20"
std::vector<double> edges_of(const Api::Call& call, const char* parameter, std::vector<double> usual) {
    const std::string text = call.any_word(parameter);
    if (text.empty()) return usual;
    std::vector<double> edges;
    const char* at = text.data();
    const char* const end = at + text.size();
    while (at <= end && edges.size() < 100) {
        double edge = 0.0;
        const auto [after, error] = std::from_chars(at, end, edge);
        if (error != std::errc() || (after != end && *after != ',')) break;
        edges.push_back(edge);
        if (after == end && are_edges(edges)) return edges;
        at = after + 1;
    }
    throw Refusal{400, "these are no edges of bands", parameter, std::string("give ") + kEdgesExpected};
}

} // namespace

// from, to, shift, lot; none: all there is, where it isn't too much.
RecordSpan Api::span_asked(const Call& call, SQLite::Database& database) {
    const auto lot = call.number("lot", 1, INT64_MAX);
    RecordSpan span{call.moment("from"), call.moment("to"), call.number("shift", 1, INT64_MAX)};
    if (span.from_utc_ns && span.to_utc_ns && *span.from_utc_ns >= *span.to_utc_ns)
        throw Refusal{400, "this is not later than from", "to", "give a later moment"};
    if (lot && (span.from_utc_ns || span.to_utc_ns || span.shift_id))
        throw Refusal{400, "a lot is a time by itself", "lot", "give lot alone"};
    if (span.shift_id && !read_stored_shift(database, *span.shift_id))
        throw Refusal{400, "there is no such shift", "shift", "give one of /api/v1/shifts"};
    if (lot) {
        span =
            span_of_lot(database, *lot, {400, "no such lot is in force", "lot", "give one of /api/v1/lots"});
    }
    bound(database, span, "from");
    return span;
}

WebAnswer Api::change_comparison(const Call& call) {
    ChangeWish wish;
    wish.change_id = call.id(0);
    wish.hoped_percent = call.real("hoped", 0.0, 100.0);
    wish.level = call.real("level", kLeastLevel, kMostLevel).value_or(wish.level);
    wish.power_percent =
        call.real("power", kLeastPower_percent, kMostPower_percent).value_or(wish.power_percent);
    wish.group = call.number("group", kLeastGroup, kMostGroup).value_or(wish.group);
    return reader_.read([&](SQLite::Database& database) {
        const StationTime time = station_time(database);
        wish.before = window_of(call, "before", time.local());
        wish.after = window_of(call, "after", time.local());
        const auto change = read_entry_in_force(database, wish.change_id);
        if (!change || change->kind != EntryKind::kChange) {
            throw Refusal{404, "no such change is in force", call.request.path,
                          "give one of /api/v1/changes"};
        }
        bound(database, span_before(database, change->at_utc_ns, wish.before), "before");
        bound(database, span_after(database, change->at_utc_ns, wish.after), "after");
        const ComparedChange compared = change_statement(database, wish, time.local()).value();
        return json_answer(figures_json(compared.statement, {{"before", coverage_json(compared.before)},
                                                             {"after", coverage_json(compared.after)}}));
    });
}

WebAnswer Api::lots_figures(const Call& call) {
    return reader_.read([&](SQLite::Database& database) {
        const auto facts = read_facts(database, span_asked(call, database), SpanDetail::kPassages);
        return json_answer(
            figures_json(lot_statement(facts, station_time(database).local()), coverage_json(facts)));
    });
}

WebAnswer Api::lot_figures(const Call& call) {
    return reader_.read([&](SQLite::Database& database) {
        const RecordSpan span =
            span_of_lot(database, call.id(0),
                        {404, "no such lot is in force", call.request.path, "give one of /api/v1/lots"});
        bound(database, span, "lot");
        const auto facts = read_facts(database, span, SpanDetail::kPassages);
        return json_answer(
            figures_json(lot_statement(facts, station_time(database).local()), coverage_json(facts)));
    });
}

WebAnswer Api::factors(const Call& call) {
    FactorSettings settings;
    settings.hold_edges_s = edges_of(call, "hold_bands", settings.hold_edges_s);
    settings.rate_edges_per_hour = edges_of(call, "rate_bands", settings.rate_edges_per_hour);
    settings.least_bang_db = call.real("bang_over", -300.0, 300.0);
    settings.least_hiss_db = call.real("hiss_over", -300.0, 300.0);
    const std::string word = call.word("phase", {"entry", "body_held", "held", "at_stun"});
    for (const Phase phase : kCountedPhases) {
        if (name_of(phase) == word) settings.phase = phase;
    }
    return reader_.read([&](SQLite::Database& database) {
        const auto facts = read_facts(database, span_asked(call, database));
        return json_answer(figures_json(factors_statement(facts, settings), coverage_json(facts)));
    });
}

} // namespace quietpass
