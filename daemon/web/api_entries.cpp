// The routes by which people enter something: the same rows by the same functions as the commands.
#include "daemon/alarms/enter_alarm_events.h"
#include "daemon/failure.h"
#include "daemon/records/finding_rows.h"
#include "daemon/review/enter_findings.h"
#include "daemon/web/api_json.h"
#include "daemon/web/api_route.h"

namespace quietpass {

namespace {

constexpr std::size_t kMostCalls = 500;

const Json& field_of(const Json& body, const char* field) {
    const auto found = body.find(field);
    if (found == body.end()) throw Refusal{422, "a field is missing", field, "give it"};
    return *found;
}

template <typename Names>
std::string one_of(const Names& names) {
    std::string list;
    for (const std::string_view name : names)
        list += (list.empty() ? "give one of " : ", ") + std::string(name);
    return list;
}

} // namespace

WebAnswer Api::acknowledge(const Call& call) {
    const std::int64_t alarm = call.id(0);
    try {
        const std::lock_guard held(writing_);
        enter_alarm_events(store_, {alarm}, "acknowledged", call.who().name, parts_.clock.utc_ns());
    } catch (const StoreError&) {
        throw;
    } catch (const Failure& failure) {
        const bool unknown = failure.exit_code() == kExitUsage;
        // The page shows an alarm before its row is on the disk.
        if (unknown && parts_.board.is_open(alarm)) {
            throw Refusal{503,
                          "the alarm is being written",
                          call.request.path,
                          "try again in a second",
                          {{"Retry-After", "1"}}};
        }
        throw Refusal{unknown ? 404 : 409, failure.what(), call.request.path, "look at the list of alarms"};
    }
    if (parts_.alarms_changed) parts_.alarms_changed();
    return json_answer({{"alarm", alarm}, {"state", "acknowledged"}, {"acknowledged_by", call.who().name}});
}

WebAnswer Api::add_findings(const Call& call) {
    call.only({"shift_id", "call_ids", "verdict", "just_before", "note"});
    Finding finding;
    finding.shift_id = id_in(field_of(call.body, "shift_id"), "shift_id");
    const auto verdict = call_verdict_named(call.text("verdict", 64));
    if (!verdict) throw Refusal{422, "this verdict is not known", "verdict", one_of(kCallVerdictNames)};
    finding.verdict = *verdict;
    const std::string before = call.text_or("just_before", 64, "");
    finding.just_before = just_before_named(before);
    if (!before.empty() && !finding.just_before)
        throw Refusal{422, "this word is not known", "just_before", one_of(kJustBeforeNames)};
    finding.note = call.text_or("note", kLongestText, "");
    finding.by = call.who().name;
    finding.utc_ns = parts_.clock.utc_ns();
    const Json& ids = field_of(call.body, "call_ids");
    if (!ids.is_array() || ids.empty() || ids.size() > kMostCalls)
        throw Refusal{422, "expected a list of calls", "call_ids", "give 1 to 500 numbers"};
    std::vector<Finding> findings;
    for (const Json& id : ids) {
        finding.call_id = id_in(id, "call_ids");
        findings.push_back(finding);
    }
    const std::lock_guard held(writing_);
    const EnteredFindings entered = enter_findings(store_, findings);
    return json_answer(
        {{"finding_ids", entered.ids}, {"amendment", entered.amendment ? Json(*entered.amendment) : Json()}},
        201);
}

} // namespace quietpass
