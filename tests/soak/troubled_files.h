// The real disk, that at times finds no space, takes nothing, or is slow. Reading works. Thread-safe as far
// as RealFiles is.
#pragma once

#include <atomic>
#include <chrono>
#include <system_error>
#include <thread>

#include "daemon/records/files.h"

namespace quietpass::soak {

class TroubledFiles final : public Files {
  public:
    enum class Mood { kWell, kFull, kReadOnly, kSlow };
    void be(Mood mood) { mood_ = mood; }
    std::uint64_t refused() const { return refused_; }

    void make_folders(const std::filesystem::path& folder) override {
        if (std::filesystem::is_directory(folder)) return;
        suffer();
        real_.make_folders(folder);
    }
    void write(const std::filesystem::path& file, std::string_view bytes) override {
        suffer();
        real_.write(file, bytes);
    }
    void sync(const std::filesystem::path& file) override {
        suffer();
        real_.sync(file);
    }
    void rename(const std::filesystem::path& from, const std::filesystem::path& to) override {
        suffer();
        real_.rename(from, to);
    }
    void sync_folder(const std::filesystem::path& folder) override { real_.sync_folder(folder); }
    void remove(const std::filesystem::path& file) override {
        if (mood_ == Mood::kReadOnly) suffer();
        real_.remove(file);
    }
    std::optional<std::string> read(const std::filesystem::path& file) const override {
        return real_.read(file);
    }
    std::vector<std::filesystem::path> files_under(const std::filesystem::path& folder) const override {
        return real_.files_under(folder);
    }
    std::uint64_t free_bytes(const std::filesystem::path& folder) const override {
        return mood_ == Mood::kFull ? 0 : real_.free_bytes(folder);
    }

  private:
    void suffer() {
        switch (mood_.load()) {
            case Mood::kWell:
                return;
            case Mood::kFull:
                ++refused_;
                throw std::system_error(std::make_error_code(std::errc::no_space_on_device));
            case Mood::kReadOnly:
                ++refused_;
                throw std::system_error(std::make_error_code(std::errc::read_only_file_system));
            case Mood::kSlow: // each step of the disk takes its time, and nothing tells when it is over
                std::this_thread::sleep_for(std::chrono::milliseconds(5));
        }
    }

    RealFiles real_;
    std::atomic<Mood> mood_{Mood::kWell};
    std::atomic<std::uint64_t> refused_{0};
};

} // namespace quietpass::soak
