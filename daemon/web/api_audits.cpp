// Hand audits by the page: scored animal by animal, handed in, compared; and the guides' sample as data.
#include "daemon/audits/enter_audit.h"
#include "daemon/records/access_rows.h"
#include "daemon/records/audit_event_rows.h"
#include "daemon/records/people_rows.h"
#include "daemon/records/row_reader.h"
#include "daemon/records/span_reader.h"
#include "daemon/records/station_time.h"
#include "daemon/records/utc_text.h"
#include "daemon/statements/audit_statement.h"
#include "daemon/statements/sample_statement.h"
#include "daemon/statements/span_facts.h"
#include "daemon/statements/window_rows.h"
#include "daemon/web/api_json.h"
#include "daemon/web/api_route.h"
#include "daemon/web/audit_json.h"
#include "daemon/web/figure_json.h"

namespace quietpass {

namespace {

constexpr std::size_t kLongestId = 64;
constexpr std::int64_t kLimitSought = 50; // newest shifts: those that are open or without a passage have none

int status_of(AuditRefusal why) {
    switch (why) {
        case AuditRefusal::kUnknown:
            return 404;
        case AuditRefusal::kNotYours:
            return 403;
        case AuditRefusal::kOver:
        case AuditRefusal::kNoScores:
        case AuditRefusal::kIdUsed:
            return 409;
        case AuditRefusal::kBadId:
        case AuditRefusal::kNoShift:
        case AuditRefusal::kWhichAnimal:
            break;
    }
    return 422;
}

std::string to_do(AuditRefusal why) {
    switch (why) {
        case AuditRefusal::kUnknown:
            return "give one of /api/v1/handaudits";
        case AuditRefusal::kNotYours:
            return "begin one of your own";
        case AuditRefusal::kOver:
            return "begin another one";
        case AuditRefusal::kNoScores:
            return "score one, or withdraw the audit";
        case AuditRefusal::kIdUsed:
            return "make a new id for each step";
        case AuditRefusal::kBadId:
            return "make a random one";
        case AuditRefusal::kNoShift:
            return "give one of /api/v1/shifts";
        case AuditRefusal::kWhichAnimal:
            break;
    }
    return "give shift_id and passage_id, or at";
}

// What AuditRefused says, as this page answers it.
template <typename Work>
auto refusing(const std::string& where, Work work) {
    try {
        return work();
    } catch (const AuditRefused& refused) {
        throw Refusal{status_of(refused.why()), refused.what(), where, to_do(refused.why())};
    }
}

void access(SQLite::Database& database, const Api::Call& call, std::int64_t utc_ns, const char* what,
            std::int64_t audit_id, const std::string& step) {
    add_access(database, {utc_ns, call.who().name, what, "hand audit " + std::to_string(audit_id),
                          step + ", from " + call.request.address});
}

std::optional<std::int64_t> id_sent(const Api::Call& call, const char* field) {
    const auto found = call.body.find(field);
    if (found == call.body.end() || found->is_null()) return std::nullopt;
    const bool fits = found->is_number_integer() &&
                      (!found->is_number_unsigned() || found->get<std::uint64_t>() <= INT64_MAX) &&
                      found->get<std::int64_t>() > 0;
    if (!fits) throw Refusal{422, "expected a number from 1 on", field, "mend it"};
    return found->get<std::int64_t>();
}

} // namespace

WebAnswer Api::audits(const Call& call) {
    const auto before = call.number("before", 1, INT64_MAX);
    const int most = static_cast<int>(call.number("most", 1, 500).value_or(100));
    return reader_.read([&](SQLite::Database& database) {
        Json list = Json::array();
        for (const std::int64_t id : read_newest_audits(database, before, most)) {
            if (const auto audit = audit_json(database, id)) list.push_back(*audit);
        }
        return json_answer({{"audits", std::move(list)}});
    });
}

WebAnswer Api::audit(const Call& call) {
    const std::int64_t id = call.id(0);
    return reader_.read([&](SQLite::Database& database) {
        auto audit = audit_json(database, id);
        if (!audit) {
            throw Refusal{404, "no such hand audit goes on or is in force", call.request.path,
                          to_do(AuditRefusal::kUnknown)};
        }
        (*audit)["scores"] = audit_scores_json(database, id);
        return json_answer(*audit);
    });
}

WebAnswer Api::begin_audit(const Call& call) {
    call.only({"id", "auditor", "note"});
    AuditEvent event;
    event.id = call.text("id", kLongestId);
    event.auditor = call.text_or("auditor", kLongestName, "");
    event.note = call.text_or("note", kLongestText, "");
    event.by = call.who().name;
    event.utc_ns = parts_.clock.utc_ns();
    EnteredStep entered;
    Json json;
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        entered = refusing("id", [&] { return start_audit(database, event); });
        if (!entered.again) access(database, call, event.utc_ns, "enter", entered.event.audit_id, "begun");
        const auto audit = audit_json(database, entered.event.audit_id);
        if (!audit) throw Refusal{409, "this hand audit was given up", "id", "make a new id for each step"};
        json = *audit;
    });
    return json_answer(json, entered.again ? 200 : 201);
}

WebAnswer Api::add_score(const Call& call) {
    call.only({"id", "vocal", "shift_id", "passage_id", "at", "note"});
    AuditEvent event;
    event.step = AuditStep::kScored;
    event.id = call.text("id", kLongestId);
    event.audit_id = call.id(0);
    const auto vocal = call.body.find("vocal");
    if (vocal == call.body.end() || !vocal->is_boolean())
        throw Refusal{422, "expected true or false", "vocal", "mend it"};
    event.vocal = vocal->get<bool>();
    event.shift_id = id_sent(call, "shift_id");
    event.passage_id = id_sent(call, "passage_id");
    const std::string at = call.text_or("at", kLongestMoment, "");
    event.note = call.text_or("note", kLongestText, "");
    event.by = call.who().name;
    event.utc_ns = parts_.clock.utc_ns();
    EnteredStep entered;
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        if (!at.empty()) event.at_utc_ns = station_time(database).moment("at", at);
        entered = refusing(call.request.path, [&] { return enter_score(database, event); });
        if (!entered.again) access(database, call, event.utc_ns, "enter", event.audit_id, "a score");
    });
    return json_answer(score_json(entered.event), entered.again ? 200 : 201);
}

WebAnswer Api::take_back_score(const Call& call) {
    const std::int64_t id = call.id(0);
    const std::int64_t utc_ns = parts_.clock.utc_ns();
    const std::string& score = call.values.at(1);
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        const EnteredStep entered = refusing(call.request.path, [&] {
            return quietpass::take_back_score(database, id, score, call.who().name, utc_ns);
        });
        if (!entered.again) access(database, call, utc_ns, "withdraw", id, "a score");
    });
    return json_answer({{"audit_id", id}, {"taken_back", score}});
}

WebAnswer Api::finish_audit(const Call& call) {
    const std::int64_t id = call.id(0);
    const std::int64_t utc_ns = parts_.clock.utc_ns();
    Json json;
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        const bool now = refusing(call.request.path, [&] {
            return quietpass::finish_audit(database, id, call.who().name, utc_ns);
        });
        if (now) access(database, call, utc_ns, "enter", id, "handed in");
        const auto audit = audit_json(database, id);
        if (!audit) {
            throw Refusal{409, "this hand audit was withdrawn", call.request.path,
                          to_do(AuditRefusal::kOver)};
        }
        json = *audit;
    });
    return json_answer(json);
}

WebAnswer Api::withdraw_audit(const Call& call) {
    const std::int64_t id = call.id(0);
    const std::int64_t utc_ns = parts_.clock.utc_ns();
    const std::lock_guard held(writing_);
    store_.change([&](SQLite::Database& database) {
        refusing(call.request.path, [&] {
            quietpass::withdraw_audit(database, id, call.who().name, utc_ns);
            return true;
        });
        access(database, call, utc_ns, "withdraw", id, "the audit");
    });
    return json_answer({{"withdrawn", id}});
}

WebAnswer Api::audit_comparison(const Call& call) {
    const std::int64_t id = call.id(0);
    const double within_s = call.real("entry_within", 0.001, 3600.0).value_or(kUsualEntryWithin_s);
    return reader_.read([&](SQLite::Database& database) {
        const auto audit = read_hand_audit(database, id);
        if (!audit && audit_json(database, id)) {
            // Who saw the machine's answers half-way would no longer score by ear.
            throw Refusal{409, "this hand audit goes on", call.request.path, "finish it first"};
        }
        if (!audit) {
            throw Refusal{404, "no such hand audit is in force", call.request.path,
                          to_do(AuditRefusal::kUnknown)};
        }
        return json_answer(
            figures_json(audit_statement(audit->rows, audited_passages(database, audit->rows, within_s),
                                         within_s, station_time(database).local())));
    });
}

WebAnswer Api::sample(const Call& call) {
    SampleWish wish;
    wish.size = call.number("of", 1, kMostSampleSize).value_or(wish.size);
    wish.all = call.flag("all").value_or(false);
    const bool whole = wish.all || call.query.contains("from") || call.query.contains("to") ||
                       call.query.contains("shift") || call.query.contains("lot");
    const auto low = call.real("sequential_low", 0.001, 99.0);
    const auto high = call.real("sequential_high", 0.001, 99.0);
    if (low.has_value() != high.has_value() || (low && *low >= *high))
        throw Refusal{400, "this is no pair", "sequential_low", "give two percentages, the lower first"};
    if (low) wish.sequential = SequentialWish{*low, *high, 5.0, 10.0};
    return reader_.read([&](SQLite::Database& database) {
        const RecordSpan span = whole ? span_asked(call, database) : span_of_latest(database, wish.size);
        SpanRows rows = read_span_within(database, span, SpanDetail::kCalls);
        auto limit = limit_in(rows.shifts);
        if (!limit) limit = limit_in(read_newest_shifts(database, kLimitSought));
        if (!limit) {
            throw Refusal{409, "no shift is closed yet, so the limit isn't known", call.request.path,
                          "ask again after the end of the shift"};
        }
        wish.limit = *limit;
        const Journal journal = journal_of(database, rows.shifts);
        const auto facts = facts_of(std::move(rows), journal, span);
        return json_answer(figures_json(sample_statement(facts, wish, station_time(database).local()),
                                        coverage_json(facts)));
    });
}

} // namespace quietpass
