#include "daemon/alarms/delivery/command_channel.h"

#include <signal.h>
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/alarms/delivery/delivery_rig.h"
#include "tests/alarms/delivery/sample_message.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

const std::atomic<bool> kGoOn{false};

struct Script {
    explicit Script(const std::string& text) {
        path = folder.write("script", "#!/bin/sh\n" + text);
        chmod(path.c_str(), 0700);
    }
    HandOver run(double within_s = 20.0, std::vector<std::string> arguments = {}) {
        CommandChannel channel({path, std::move(arguments)}, within_s);
        return channel.hand_over(sample_message("m-1"), kGoOn);
    }
    TestFolder folder;
    std::string path;
};

} // namespace

TEST_CASE("a command gets the message as JSON and in its environment, and its words as they are",
          "[delivery]") {
    Script script("cd \"$(dirname \"$0\")\"\ncat > in\nenv > env\nprintf '%s|' \"$@\" > words\n");
    setenv("QUIETPASS_SECRET_OF_THE_DAEMON", "hush", 1); // NOLINT(concurrency-mt-unsafe)
    CHECK(script.run(20.0, {"a b", "$(touch oops)", "; exit 1"}).result == HandOver::Result::kDone);
    unsetenv("QUIETPASS_SECRET_OF_THE_DAEMON"); // NOLINT(concurrency-mt-unsafe)
    CHECK(nlohmann::json::parse(script.folder.text("in"))["headline"] == "Call after the stun, passage 17");
    const std::string environment = script.folder.text("env");
    for (const char* line :
         {"QUIETPASS_ID=m-1\n", "QUIETPASS_CAUSE=call_after_stun\n", "QUIETPASS_EVENT=raised\n",
          "QUIETPASS_COUNT=2\n", "QUIETPASS_FACT_LEVEL_DB=71.5\n", "QUIETPASS_AT=2026-03-02T13:00:00.250Z\n",
          "PATH="}) {
        CHECK(environment.find(line) != std::string::npos);
    }
    CHECK(environment.find("hush") == std::string::npos);
    CHECK(script.folder.text("words") == "a b|$(touch oops)|; exit 1|");
    CHECK_FALSE(std::filesystem::exists(script.folder / "oops"));
}

TEST_CASE("a command that fails, is killed or isn't there did not take the message", "[delivery]") {
    CHECK(Script("exit 3\n").run().what == "ended with exit 3");
    CHECK(Script("kill -9 $$\n").run().what == "was killed by signal 9");
    CommandChannel missing({"/nowhere/at/all", {}}, 20.0);
    const HandOver outcome = missing.hand_over(sample_message("m-1"), kGoOn);
    CHECK(outcome.result == HandOver::Result::kUnreachable);
    CHECK(outcome.what == "No such file or directory");
}

TEST_CASE("a command that does not end is killed in time, with all that it started", "[delivery]") {
    Script script("cd \"$(dirname \"$0\")\"\nsleep 1000 & echo $! > child\nwait\n");
    const auto begun = std::chrono::steady_clock::now();
    CHECK(script.run(1.0).what == "did not end in time and was killed");
    CHECK(std::chrono::steady_clock::now() - begun < std::chrono::seconds(20));
    const int child = std::atoi(script.folder.text("child").c_str());
    REQUIRE(child > 0);
    // Dead, or dead and waiting for whoever adopted it.
    CHECK(await([child] {
        std::ifstream status("/proc/" + std::to_string(child) + "/stat");
        const std::string text{std::istreambuf_iterator<char>(status), std::istreambuf_iterator<char>()};
        return text.empty() || text.find(") Z ") != std::string::npos;
    }));
}

TEST_CASE("a command that failed is run again until it is done", "[delivery]") {
    Script script("cd \"$(dirname \"$0\")\"\necho x >> runs\ntest \"$(wc -l < runs)\" -ge 3\n");
    DeliveryRig rig;
    rig.start(quick_plan("call", std::make_unique<CommandChannel>(CommandSettings{script.path, {}}, 20.0)));
    rig.delivery->put(sample_message("m-1"));
    REQUIRE(rig.await_all_done());
    CHECK(script.folder.text("runs") == "x\nx\nx\n");
}
