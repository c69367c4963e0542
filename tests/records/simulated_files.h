// A disk in memory that can be full or read-only, can lose its power before any step, and then keeps only
// what was synced: a file's bytes by sync(), its name by sync_folder(). The worst that a real disk may do.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <vector>

#include "daemon/records/files.h"

namespace quietpass {

struct PowerCut {};

class SimulatedFiles final : public Files {
  public:
    // From the step of this number on (0 is the first), every step fails so; a write leaves half of its
    // bytes.
    void fail_from(int step, std::errc how);
    // Before the step of this number, PowerCut is thrown.
    void cut_power_before(int step);
    // As after a restart: only what was synced is there, and no step fails any more.
    void restart();
    void set_free_bytes(std::uint64_t bytes) { free_bytes_ = bytes; }

    int steps() const { return steps_; }
    std::vector<std::string> names() const;

    void make_folders(const std::filesystem::path& folder) override;
    void write(const std::filesystem::path& file, std::string_view bytes) override;
    void sync(const std::filesystem::path& file) override;
    void rename(const std::filesystem::path& from, const std::filesystem::path& to) override;
    void sync_folder(const std::filesystem::path& folder) override;
    void remove(const std::filesystem::path& file) override;
    std::optional<std::string> read(const std::filesystem::path& file) const override;
    std::vector<std::filesystem::path> files_under(const std::filesystem::path& folder) const override;
    std::uint64_t free_bytes(const std::filesystem::path&) const override { return free_bytes_; }

  private:
    struct Content {
        std::string bytes;
        std::string synced;
    };
    using Names = std::map<std::filesystem::path, std::shared_ptr<Content>>;

    std::optional<std::errc> failure_of_step();

    Names names_;
    Names synced_names_;
    int steps_ = 0;
    std::optional<int> fail_from_;
    std::errc how_ = std::errc::io_error;
    std::optional<int> cut_before_;
    std::uint64_t free_bytes_ = std::uint64_t{1} << 40;
};

} // namespace quietpass
