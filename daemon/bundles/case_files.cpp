#include "daemon/bundles/case_files.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "daemon/bundles/case_clips.h"
#include "daemon/records/calls_csv.h"
#include "daemon/records/csv_line.h"
#include "daemon/records/finding_rows.h"
#include "daemon/records/passages_csv.h"
#include "daemon/records/utc_text.h"
#include "daemon/reports/gather_report.h"
#include "daemon/reports/pdf/report_pdf.h"
#include "daemon/review/case_state.h"

namespace quietpass {

namespace {

using Json = nlohmann::ordered_json;

constexpr double kEdgesAroundS = 10.0; // what the contacts did so long before and after a passage

Json moment(const std::optional<std::int64_t>& utc_ns) {
    return utc_ns ? Json(utc_text(*utc_ns)) : Json(nullptr);
}

Json or_null(const std::optional<std::int64_t>& id) {
    return id ? Json(*id) : Json(nullptr);
}

std::string case_json(const CaseFile& file) {
    Json out;
    out["case_id"] = file.id;
    out["reference"] = file.reference;
    out["asked_by"] = file.asked_by;
    out["from"] = moment(file.from_utc_ns);
    out["to"] = moment(file.to_utc_ns);
    out["opened_by"] = file.by;
    out["opened"] = utc_text(file.utc_ns);
    out["note"] = file.note;
    out["decision"] = state_of(file).decision;
    out["events"] = Json::array();
    for (const CaseEvent& event : file.events) {
        out["events"].push_back({{"utc", utc_text(event.utc_ns)},
                                 {"entered_by", event.by},
                                 {"event", event.event},
                                 {"text", event.text},
                                 {"shift_id", or_null(event.shift_id)},
                                 {"passage_id", or_null(event.passage_id)},
                                 {"call_id", or_null(event.call_id)},
                                 {"clip_id", or_null(event.clip_id)}});
    }
    return out.dump(2) + "\n";
}

std::string findings_csv(const std::vector<Finding>& findings, const CaseState& state) {
    std::string csv = "finding_id,shift_id,call_id,verdict,just_before,note,entered_by,utc,withdraws\n";
    for (const Finding& finding : findings) {
        if (state.calls.count({finding.shift_id, finding.call_id}) == 0) continue;
        CsvLine line;
        line.integer(finding.id).integer(finding.shift_id).integer(finding.call_id);
        line.text(name_of(finding.verdict));
        line.text(finding.just_before ? name_of(*finding.just_before) : "");
        line.text(finding.note).text(finding.by).text(utc_text(finding.utc_ns));
        if (finding.withdraws) {
            line.integer(*finding.withdraws);
        } else {
            line.missing();
        }
        csv += line.take();
    }
    return csv;
}

std::string contacts_csv(const std::vector<Edge>& edges, const std::vector<Passage>& passages) {
    std::string csv = "time_s,input,state\n";
    for (const Edge& edge : edges) {
        const auto near = [&edge](const Passage& passage) {
            return edge.time_s >= passage.entered_s - kEdgesAroundS &&
                   edge.time_s <= passage.end_s + kEdgesAroundS;
        };
        if (std::none_of(passages.begin(), passages.end(), near)) continue;
        csv += CsvLine().number(edge.time_s, 3).text(name_of(edge.role)).yes_no(edge.closed).take();
    }
    return csv;
}

void add_shift(CaseFiles& out, const ShiftRows& rows, const CaseState& state,
               const std::vector<Amendment>& amendments) {
    const std::int64_t id = rows.shift.shift_id;
    const std::string folder = "shifts/" + std::to_string(id) + "/";
    std::vector<Passage> passages;
    for (const Passage& passage : rows.passages) {
        if (state.passages.count({id, passage.id}) > 0) passages.push_back(passage);
    }
    std::vector<StationCall> calls;
    for (const StationCall& call : rows.calls) {
        if (state.calls.count({id, call.id}) > 0) calls.push_back(call);
    }
    if (!rows.shift.record_json.empty()) out.files.push_back({folder + "shift.json", rows.shift.record_json});
    for (const Amendment& amendment : amendments) {
        if (amendment.shift_id != id) continue;
        out.files.push_back(
            {folder + "amendment-" + std::to_string(amendment.number) + ".json", amendment.record_json});
    }
    out.files.push_back({folder + "passages.csv", passages_csv(passages)});
    out.files.push_back({folder + "calls.csv", calls_csv(rows.shift.species, calls)});
    out.files.push_back({folder + "contacts.csv", contacts_csv(rows.edges, passages)});
}

// The page that a person reads of a closed shift, as `quietpass report` makes it.
void add_report(CaseFiles& out, const Store& store, const StoredShift& shift) {
    if (shift.record_json.empty()) return;
    const ReportSpan span{SpanKind::kShift, "", shift.shift_id, {}, {}};
    const ReportFigures figures = gather_report(read_report_rows(store, span), span);
    out.files.push_back({"shifts/" + std::to_string(shift.shift_id) + "/report.pdf",
                         report_pdf(figures, LocalTime(figures.timezone), Paper::kA4)});
}

} // namespace

std::size_t bytes_of(const std::vector<NamedBytes>& files) {
    std::size_t bytes = 0;
    for (const NamedBytes& file : files) bytes += file.bytes.size();
    return bytes;
}

CaseFiles case_files(const Store& store, const CaseFile& file, const std::filesystem::path& folder,
                     bool masked, std::size_t most_bytes) {
    const CaseState state = state_of(file);
    std::vector<Finding> findings;
    std::vector<Amendment> amendments;
    std::vector<StoredClip> clips;
    ClipFilter filter;
    filter.deleted_too = true;
    store.read([&](SQLite::Database& database) {
        findings = read_findings(database);
        amendments = read_amendments(database);
        clips = read_clips(database, filter);
    });
    std::erase_if(clips, [&](const StoredClip& clip) { return state.clips.count(clip.row.clip_id) == 0; });
    std::map<std::int64_t, ShiftRows> shifts;
    for (const std::int64_t id : state.shifts) {
        if (auto rows = store.read_shift(id)) shifts.emplace(id, std::move(*rows));
    }
    CaseFiles out;
    out.files.push_back({"case.json", case_json(file)});
    out.files.push_back({"findings.csv", findings_csv(findings, state)});
    for (const auto& [id, rows] : shifts) {
        add_shift(out, rows, state, amendments);
        add_report(out, store, rows.shift);
    }
    add_clips(out, clips, shifts, reviews_of(findings), folder, masked, most_bytes);
    return out;
}

} // namespace quietpass
