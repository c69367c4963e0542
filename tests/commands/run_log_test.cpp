#include "daemon/commands/run_log.h"

#include <spdlog/spdlog.h>

#include <catch2/catch.hpp>
#include <string>

#include "tests/test_folder.h"

using namespace quietpass;

TEST_CASE("A message is one line of the log, whatever it quotes") {
    const TestFolder folder;
    {
        const auto log = make_log(folder.path("log"));
        log->warn("page: {}: not found", "/x\n2026-03-02T13:00:00.000Z info forged\x1b[2J");
        log->info("after it");
    }
    const std::string text = folder.text("log");
    INFO(text);
    const std::size_t end = text.find('\n');
    REQUIRE(end != std::string::npos);
    CHECK(text.substr(24, end - 24) ==
          " warning page: /x\\n2026-03-02T13:00:00.000Z info forged\\u001B[2J: not found");
    CHECK(text.substr(end + 1).find("Z info after it\n") == 23);
}

TEST_CASE("A log that can't be written is refused") {
    const TestFolder folder;
    CHECK_THROWS_WITH(
        make_log(folder.path().string()),
        "run: --log " + folder.path().string() + ": can't be written; check the folder and its permissions");
}
