#include "daemon/web/export_jobs.h"

#include <algorithm>
#include <regex>
#include <utility>

#include "daemon/bundles/export_case.h"

namespace quietpass {

std::string_view name_of(ExportState state) {
    constexpr std::string_view kNames[] = {"waiting", "running", "done", "failed"};
    return kNames[static_cast<std::size_t>(state)];
}

ExportJobs::ExportJobs(std::filesystem::path out, std::filesystem::path key_file, const Clock& clock)
    : out_(std::move(out)), key_file_(std::move(key_file)), clock_(clock) {
    find_earlier();
}

ExportJobs::~ExportJobs() {
    {
        const std::lock_guard held(lock_);
        ends_ = true;
    }
    news_.notify_all();
    if (thread_.joinable()) thread_.join();
}

void ExportJobs::find_earlier() {
    static const std::regex pattern("case-([0-9]{1,18})-export-([0-9]{1,18})\\.zip");
    std::error_code error;
    for (const auto& entry : std::filesystem::directory_iterator(folder(), error)) {
        const std::string name = entry.path().filename().string();
        std::smatch parts;
        if (!std::regex_match(name, parts, pattern)) continue;
        ExportJob job;
        job.case_id = std::stoll(parts[1]);
        job.id = std::stoll(parts[2]);
        job.state = ExportState::kDone;
        job.file = name;
        job.bytes = entry.file_size(error);
        last_id_ = std::max(last_id_, job.id);
        jobs_[job.id] = job;
    }
}

std::optional<std::int64_t> ExportJobs::begin(std::int64_t case_id, const std::string& by, bool masked,
                                              const std::string& reason) {
    const std::lock_guard held(lock_);
    if (waiting_.size() >= kMostWaiting) return std::nullopt;
    ExportJob job;
    job.id = ++last_id_;
    job.case_id = case_id;
    job.file = "case-" + std::to_string(case_id) + "-export-" + std::to_string(job.id) + ".zip";
    job.by = by;
    job.masked = masked;
    job.reason = reason;
    job.asked_utc_ns = clock_.utc_ns();
    jobs_[job.id] = job;
    waiting_.push_back(job.id);
    if (!thread_.joinable()) thread_ = std::thread([this] { work(); });
    news_.notify_all();
    return job.id;
}

std::optional<ExportJob> ExportJobs::find(std::int64_t id) const {
    const std::lock_guard held(lock_);
    const auto found = jobs_.find(id);
    return found == jobs_.end() ? std::nullopt : std::optional(found->second);
}

std::vector<ExportJob> ExportJobs::all() const {
    const std::lock_guard held(lock_);
    std::vector<ExportJob> all;
    for (const auto& [id, job] : jobs_) all.push_back(job);
    return all;
}

void ExportJobs::work() {
    std::unique_lock held(lock_);
    while (true) {
        news_.wait(held, [this] { return ends_ || !waiting_.empty(); });
        if (ends_) return;
        ExportJob& job = jobs_[waiting_.front()];
        waiting_.pop_front();
        job.state = ExportState::kRunning;
        const ExportJob wanted = job;
        held.unlock();
        make(wanted);
        held.lock();
    }
}

void ExportJobs::make(ExportJob job) {
    try {
        // What others must not read lies in it.
        std::filesystem::create_directories(folder());
        std::filesystem::permissions(folder(), std::filesystem::perms::owner_all);
        Store store(out_ / "records.db");
        RealFiles files;
        ExportWish wish;
        wish.case_id = job.case_id;
        wish.folder = out_;
        wish.key_file = key_file_;
        wish.to = path_of(job);
        wish.by = job.by;
        wish.masked = job.masked;
        wish.reason = job.reason;
        const Exported exported = export_case(store, files, clock_, wish);
        job.state = ExportState::kDone;
        job.bytes = exported.bytes;
        job.sha256 = exported.sha256;
        job.vouched_for = exported.vouched_for;
        job.notes = exported.notes;
    } catch (const std::exception& error) {
        job.state = ExportState::kFailed;
        job.error = error.what();
    }
    const std::lock_guard held(lock_);
    jobs_[job.id] = std::move(job);
}

} // namespace quietpass
