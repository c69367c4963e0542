// The routes of exports: a case as one ZIP, made beside everything else, fetched and checked.
#include "daemon/bundles/verify_bundle.h"
#include "daemon/failure.h"
#include "daemon/ledger/station_key.h"
#include "daemon/records/case_rows.h"
#include "daemon/review/case_state.h"
#include "daemon/settings/key_file.h"
#include "daemon/web/api_json.h"
#include "daemon/web/api_route.h"
#include "daemon/web/download.h"

namespace quietpass {

namespace {

constexpr std::size_t kLongestReason = 2000;

Json job_json(const ExportJob& job) {
    Json notes = Json::array();
    for (const std::string& note : job.notes) notes.push_back(note);
    const bool ours = job.asked_utc_ns.has_value(); // what an earlier run made tells less
    const bool done = job.state == ExportState::kDone;
    return {{"export_id", job.id},
            {"case_id", job.case_id},
            {"state", name_of(job.state)},
            {"file", job.file},
            {"bytes", done ? Json(job.bytes) : Json()},
            {"sha256", text_or_null(job.sha256)},
            {"masked", ours ? Json(job.masked) : Json()},
            {"vouched_for", or_null(job.vouched_for)},
            {"notes", std::move(notes)},
            {"failed_because", text_or_null(job.error)},
            {"entered_by", text_or_null(job.by)},
            {"asked", utc_or_null(job.asked_utc_ns)}};
}

ExportJob job_of(const ExportJobs& jobs, const Api::Call& call) {
    if (const auto job = jobs.find(call.id(0))) return *job;
    throw Refusal{404, "there is no such export", call.request.path, "give one of /api/v1/exports"};
}

ExportJob done_job_of(const ExportJobs& jobs, const Api::Call& call) {
    ExportJob job = job_of(jobs, call);
    if (job.state == ExportState::kDone) return job;
    throw Refusal{409, "the export is " + std::string(name_of(job.state)), call.request.path,
                  job.state == ExportState::kFailed ? "ask for another one" : "wait until it is done"};
}

// Of the station whose records these are; empty where its key isn't.
std::string public_key_of(const std::filesystem::path& file) {
    std::error_code error;
    return std::filesystem::exists(file, error) ? StationKey::load(file).public_key() : std::string();
}

Json lines_of(const std::string& text) {
    Json lines = Json::array();
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        lines.push_back(text.substr(at, end - at));
        at = end + 1;
    }
    return lines;
}

} // namespace

WebAnswer Api::export_of_case(const Call& call) {
    call.only({"masked", "reason"});
    const auto masked_field = call.body.find("masked");
    if (masked_field != call.body.end() && !masked_field->is_boolean())
        throw Refusal{422, "expected true or false", "masked", "mend it"};
    const bool masked = masked_field == call.body.end() || masked_field->get<bool>();
    const std::string reason = call.text_or("reason", kLongestReason, "");
    if (!masked && call.who().role < PageRole::kAdministrator) {
        throw Refusal{403, "clips with speech in them are handed over by an administrator only", "masked",
                      "ask who administers the page"};
    }
    if (!masked && reason.find_first_not_of(" \t\r\n") == std::string::npos)
        throw Refusal{422, "unmasked needs a reason", "reason", "say why speech leaves the plant"};
    const std::int64_t case_id = call.id(0);
    reader_.read([&](SQLite::Database& database) {
        const auto file = read_case(database, case_id);
        if (!file)
            throw Refusal{404, "there is no such case", call.request.path, "give one of /api/v1/cases"};
        const CaseState state = state_of(*file);
        if (state.passages.empty() && state.calls.empty() && state.clips.empty())
            throw Refusal{409, "the case is empty", call.request.path, "gather something first"};
        return 0;
    });
    const auto id = exports_.begin(case_id, call.who().name, masked, reason);
    if (!id) throw Refusal{503, "too many exports wait", "export", "try again", {{"Retry-After", "10"}}};
    return json_answer(job_json(*exports_.find(*id)), 202);
}

WebAnswer Api::export_list(const Call& call) {
    const auto case_id = call.number("case", 1, INT64_MAX);
    Json list = Json::array();
    for (const ExportJob& job : exports_.all()) {
        if (!case_id || job.case_id == *case_id) list.push_back(job_json(job));
    }
    return json_answer({{"exports", std::move(list)}});
}

WebAnswer Api::one_export(const Call& call) {
    return json_answer(job_json(job_of(exports_, call)));
}

WebAnswer Api::export_file(const Call& call) {
    const ExportJob job = done_job_of(exports_, call);
    WebAnswer answer = file_answer(call.request, exports_.path_of(job), "application/zip", job.file);
    answer.headers.push_back(as_download(job.file));
    const bool from_start = answer.file->offset == 0; // a download that goes on is told already
    if (from_start && call.request.method != "HEAD")
        record(call.who().name, "download", job.file, "from " + call.request.address);
    return answer;
}

WebAnswer Api::verify_export(const Call& call) {
    const ExportJob job = done_job_of(exports_, call);
    try {
        const std::string words =
            verify_bundle(exports_.path_of(job).string(), public_key_of(key_file_of(parts_.settings, parts_.out)), job.file);
        return json_answer({{"fits", true}, {"words", lines_of(words)}});
    } catch (const Failure& misfit) {
        return json_answer({{"fits", false}, {"words", lines_of(misfit.what())}});
    }
}

} // namespace quietpass
