// A process that uses the outbox is killed (SIGKILL) at any moment: what put() returned for is delivered
// after the next start.

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <map>
#include <string>
#include <vector>

#include "daemon/alarms/delivery/delivery_plans.h"
#include "daemon/settings/station_file.h"
#include "tests/alarms/delivery/delivery_rig.h"
#include "tests/alarms/delivery/http_receiver.h"

extern char** environ;

using namespace quietpass;
using namespace quietpass::test;

namespace {

class Feeder {
  public:
    Feeder(const std::string& station, const std::string& folder, const std::string& prefix, int count) {
        int ends[2] = {-1, -1};
        REQUIRE(pipe2(ends, O_CLOEXEC) == 0);
        posix_spawn_file_actions_t actions{};
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_adddup2(&actions, ends[1], STDOUT_FILENO);
        std::vector<std::string> words = {FEED_OUTBOX, station, folder, prefix, std::to_string(count)};
        std::vector<char*> pointers;
        for (std::string& word : words) pointers.push_back(word.data());
        pointers.push_back(nullptr);
        REQUIRE(posix_spawn(&process_, FEED_OUTBOX, &actions, nullptr, pointers.data(), environ) == 0);
        posix_spawn_file_actions_destroy(&actions);
        close(ends[1]);
        out_ = fdopen(ends[0], "r");
    }
    ~Feeder() {
        kill();
        std::fclose(out_);
    }
    Feeder(const Feeder&) = delete;
    Feeder& operator=(const Feeder&) = delete;

    // The next id that put() returned for; empty when there are no more.
    std::string next() {
        char line[256];
        if (std::fgets(line, sizeof line, out_) == nullptr) return "";
        const std::string id = line;
        return id.substr(0, id.size() - 1);
    }
    void kill() {
        if (process_ < 0) return;
        ::kill(process_, SIGKILL);
        waitpid(process_, nullptr, 0);
        process_ = -1;
    }

  private:
    pid_t process_ = -1;
    std::FILE* out_ = nullptr;
};

struct Plant {
    Plant() {
        key = folder.write("key", kSigningKey + "\n");
        chmod(key.c_str(), 0600);
        station = folder.write("station.toml", R"([station]
name = "box-2"
species = "cattle"
timezone = "UTC"
[restraint]
kind = "box"
[[microphone]]
name = "head"
[[contact]]
role = "entered"
[scoring]
limit_percent = 5.0
basis = "a guide, an edition"
[[delivery]]
kind = "webhook"
name = "web"
url = ")" + receiver.url() + R"("
secret_file = "key"
first_retry_s = 0.1
last_retry_s = 0.2
)");
    }
    std::unique_ptr<Delivery> open() {
        return open_delivery(read_station_file(station), folder.path(), clock,
                             [](bool, const std::string&) {});
    }
    HttpReceiver receiver;
    TestFolder folder;
    RealClock clock;
    std::string key;
    std::string station;
};

} // namespace

TEST_CASE(
    "a process killed between put and delivery: each message that was put is delivered after the restart",
    "[delivery]") {
    Plant plant;
    plant.receiver.kill();
    std::map<std::string, int> expected;
    for (int run = 0; run < 4; ++run) {
        Feeder feeder(plant.station, plant.folder.path().string(), "run" + std::to_string(run) + "-", 1000);
        for (int i = 0; i < 5 * run + 1; ++i) ++expected[feeder.next()];
        feeder.kill();
        // What it put before the kill, and had printed.
        for (std::string id = feeder.next(); !id.empty(); id = feeder.next()) ++expected[id];
    }
    plant.receiver.start();
    const auto delivery = plant.open();
    REQUIRE(await([&] { return delivery->states()[0].waiting == 0; }));
    const auto acknowledged = plant.receiver.acknowledged();
    for (const auto& [id, times] : expected) {
        INFO(id);
        CHECK(acknowledged.contains(id));
    }
    for (const auto& [id, times] : acknowledged) CHECK(times == 1);
}

TEST_CASE(
    "a process killed while it delivers loses nothing, and repeats at most the one message whose "
    "acknowledgement it could not write down",
    "[delivery]") {
    Plant plant;
    std::map<std::string, int> expected;
    int kills = 0;
    for (int run = 0; run < 6; ++run) {
        Feeder feeder(plant.station, plant.folder.path().string(), "run" + std::to_string(run) + "-", 40);
        const std::size_t before = plant.receiver.acknowledged().size();
        for (int i = 0; i < 40; ++i) ++expected[feeder.next()];
        REQUIRE(plant.receiver.await_acknowledged(before + static_cast<std::size_t>(3 * run) + 1));
        feeder.kill();
        ++kills;
    }
    const auto delivery = plant.open();
    REQUIRE(await([&] { return delivery->states()[0].waiting == 0; }));
    int repeats = 0;
    for (const auto& [id, times] : plant.receiver.acknowledged()) repeats += times - 1;
    CHECK(repeats <= kills);
    CHECK(plant.receiver.acknowledged().size() == expected.size());
}
