#include "daemon/clips/clip_writer.h"

#include <catch2/catch.hpp>
#include <condition_variable>
#include <mutex>

#include "tests/clips/clip_house.h"

using namespace quietpass;

namespace {

// A disk that takes its time: a write waits until it is let.
class SlowFiles final : public Files {
  public:
    explicit SlowFiles(Files& disk) : disk_(disk) {}
    void let(bool go) {
        const std::lock_guard lock(mutex_);
        go_ = go;
        changed_.notify_all();
    }
    void make_folders(const std::filesystem::path& folder) override { disk_.make_folders(folder); }
    void write(const std::filesystem::path& file, std::string_view bytes) override {
        std::unique_lock lock(mutex_);
        changed_.wait(lock, [this] { return go_; });
        disk_.write(file, bytes);
    }
    void sync(const std::filesystem::path& file) override { disk_.sync(file); }
    void rename(const std::filesystem::path& from, const std::filesystem::path& to) override {
        disk_.rename(from, to);
    }
    void sync_folder(const std::filesystem::path& folder) override { disk_.sync_folder(folder); }
    void remove(const std::filesystem::path& file) override { disk_.remove(file); }
    std::optional<std::string> read(const std::filesystem::path& file) const override {
        return disk_.read(file);
    }
    std::vector<std::filesystem::path> files_under(const std::filesystem::path& folder) const override {
        return disk_.files_under(folder);
    }
    std::uint64_t free_bytes(const std::filesystem::path& folder) const override {
        return disk_.free_bytes(folder);
    }

  private:
    Files& disk_;
    std::mutex mutex_;
    std::condition_variable changed_;
    bool go_ = false;
};

} // namespace

TEST_CASE("While the disk is slow clips wait, up to a bound; what finds no room is dropped and counted",
          "[clips]") {
    ClipHouse house;
    SlowFiles slow(house.files);
    {
        ClipWriter writer(
            std::make_unique<ClipFiler>("/out", ClipOrigin{"box", {"head"}, "quietpass", "abc"},
                                        house.settings, slow, Store(house.records()), house.clock,
                                        [](bool, const std::string&) {}),
            {.capacity_bytes = 3 * house.job().cut.bytes(), .house_every = std::chrono::hours(1)});
        int taken = 0;
        for (int i = 0; i < 10; ++i) taken += writer.post(house.job(0.001 * i)) ? 1 : 0;
        CHECK(taken == 3);
        CHECK(writer.state().dropped == 7);
        CHECK_FALSE(writer.flush(std::chrono::milliseconds(0)));
        slow.let(true);
        CHECK(writer.flush(std::chrono::minutes(1)));
        CHECK(writer.state().filed == 3);
        CHECK(writer.post(house.job(1.0)));
    }
    // The end waits for what was posted.
    CHECK(house.clips().size() == 4);
    CHECK(rows_and_files_agree(house));
}

TEST_CASE("A clip larger than all the room finds room when nothing waits", "[clips]") {
    ClipHouse house;
    ClipWriter writer(std::move(house.filer), {.capacity_bytes = 1});
    CHECK(writer.post(house.job()));
    CHECK(writer.flush(std::chrono::minutes(1)));
    CHECK(writer.state().filed == 1);
}
