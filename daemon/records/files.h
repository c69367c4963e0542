// The seam for the disk: what the records ask of it, step by step, so that a test can fail any step or drop
// what was not synced. And the one way to write a file that matters: aside, synced, renamed, folder synced.
//
// Errors: Files' methods throw std::system_error. The free functions throw Failure (exit 1) with one line
// and leave nothing half-written: after it, each file is the old one or not there. Any thread, but not two
// on the same path.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace quietpass {

class Files {
  public:
    virtual ~Files() = default;
    virtual void make_folders(const std::filesystem::path& folder) = 0;
    // Makes or truncates. Not on the disk before sync().
    virtual void write(const std::filesystem::path& file, std::string_view bytes) = 0;
    virtual void sync(const std::filesystem::path& file) = 0;
    // Replaces `to`. Not on the disk before sync_folder().
    virtual void rename(const std::filesystem::path& from, const std::filesystem::path& to) = 0;
    virtual void sync_folder(const std::filesystem::path& folder) = 0;
    // Nothing happens when there is no such file.
    virtual void remove(const std::filesystem::path& file) = 0;
    // Nothing when there is no such file.
    virtual std::optional<std::string> read(const std::filesystem::path& file) const = 0;
    // All files in the folder and in those below it, by name; none when there is no such folder.
    virtual std::vector<std::filesystem::path> files_under(const std::filesystem::path& folder) const = 0;
    // What a file may still take on the disk that this folder is on.
    virtual std::uint64_t free_bytes(const std::filesystem::path& folder) const = 0;
};

class RealFiles final : public Files {
  public:
    void make_folders(const std::filesystem::path& folder) override;
    void write(const std::filesystem::path& file, std::string_view bytes) override;
    void sync(const std::filesystem::path& file) override;
    void rename(const std::filesystem::path& from, const std::filesystem::path& to) override;
    void sync_folder(const std::filesystem::path& folder) override;
    void remove(const std::filesystem::path& file) override;
    std::optional<std::string> read(const std::filesystem::path& file) const override;
    std::vector<std::filesystem::path> files_under(const std::filesystem::path& folder) const override;
    std::uint64_t free_bytes(const std::filesystem::path& folder) const override;
};

struct NamedBytes {
    std::string name; // within the folder
    std::string bytes;
};

// Makes the folder where it is missing and proves that it can be written, so that a command fails before its
// work and not after.
void prepare_output_folder(Files& files, const std::filesystem::path& folder);

// Writes all files of a set: all aside and synced first, then renamed in the order given. A failure before
// the renames leaves the folder as it was; a reader that finds the last name finds the others.
void write_whole(Files& files, const std::filesystem::path& folder, std::span<const NamedBytes> set);

} // namespace quietpass
