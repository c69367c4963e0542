// Exports of cases that the page asked for: made one after the other on a thread of its own, for they take as
// long as their clips do, and kept as OUT/exports/case-C-export-E.zip. E is the export's number; those of
// earlier runs are found by their files.
//
// Any thread. The end waits for the one that is being made and leaves out those that wait. Errors: those of
// export_case() are the job's.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <deque>
#include <filesystem>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "daemon/clock.h"

namespace quietpass {

enum class ExportState { kWaiting, kRunning, kDone, kFailed };
std::string_view name_of(ExportState state); // "waiting", "running", "done", "failed"

struct ExportJob {
    std::int64_t id = 0;
    std::int64_t case_id = 0;
    ExportState state = ExportState::kWaiting;
    std::string file; // its name
    // Of this run's only.
    std::string by;
    bool masked = true;
    std::string reason; // why not masked
    std::optional<std::int64_t> asked_utc_ns;
    std::optional<bool> vouched_for; // as Exported
    std::vector<std::string> notes;
    std::string error; // one line; of a failed one
    std::string sha256;
    std::uint64_t bytes = 0; // of one that is done
};

class ExportJobs {
  public:
    static constexpr std::size_t kMostWaiting = 8;

    // out: the folder of records.db; key_file: the station's; clock must outlive it.
    ExportJobs(std::filesystem::path out, std::filesystem::path key_file, const Clock& clock);
    ~ExportJobs();

    // Its number; nothing when too many wait.
    std::optional<std::int64_t> begin(std::int64_t case_id, const std::string& by, bool masked,
                                      const std::string& reason);
    std::optional<ExportJob> find(std::int64_t id) const;
    std::vector<ExportJob> all() const; // by number
    std::filesystem::path path_of(const ExportJob& job) const { return folder() / job.file; }

  private:
    std::filesystem::path folder() const { return out_ / "exports"; }
    void find_earlier();
    void work();
    void make(ExportJob job);

    std::filesystem::path out_;
    std::filesystem::path key_file_;
    const Clock& clock_;
    mutable std::mutex lock_; // of all below
    std::condition_variable news_;
    std::map<std::int64_t, ExportJob> jobs_;
    std::deque<std::int64_t> waiting_;
    std::int64_t last_id_ = 0;
    bool ends_ = false;
    std::thread thread_; // begun with the first job
};

} // namespace quietpass
