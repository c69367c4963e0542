// The program itself, as `quietpass tune` starts it.
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <iterator>

#include "tests/test_folder.h"

using namespace quietpass;

namespace {

struct Run {
    int exit_code;
    std::string errors;
};

Run tune(const TestFolder& folder, const std::string& arguments) {
    const std::string errors = (folder.path() / "errors").string();
    const std::string command = std::string(QUIETPASS_TUNE_PROGRAM) + " " + arguments + " >" +
                                (folder.path() / "out").string() + " 2>" + errors;
    const int status = std::system(command.c_str());
    std::ifstream in(errors);
    return {WEXITSTATUS(status), {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()}};
}

bool one_line(const std::string& text) {
    return !text.empty() && text.find('\n') == text.size() - 1;
}

} // namespace

TEST_CASE("tune --help says what it does and succeeds") {
    const TestFolder folder;
    CHECK(tune(folder, "--help").exit_code == 0);
}

TEST_CASE("Wrong usage of tune is one line and exit code 2") {
    const TestFolder folder;
    for (const char* arguments :
         {"", "--species cattle", "--species sheep --clips x --out y", "--no-such-thing",
          "--species pig --clips x --out y --folds 5 --leave-out 5",
          "--species pig --clips x --out y --terms 2"}) {
        const Run run = tune(folder, arguments);
        CAPTURE(arguments, run.errors);
        CHECK(run.exit_code == 2);
        CHECK(one_line(run.errors));
    }
}

TEST_CASE("A folder that isn't there, or one without calls, is one line and exit code 1, and no profile") {
    const TestFolder folder;
    const std::string out = (folder.path() / "p.toml").string();
    Run run = tune(folder, "--quiet --species cattle --clips /nowhere/at/all --out " + out);
    CHECK(run.exit_code == 1);
    CHECK(one_line(run.errors));
    std::filesystem::create_directories(folder.path() / "clips");
    run = tune(folder,
               "--quiet --species cattle --clips " + (folder.path() / "clips").string() + " --out " + out);
    CHECK(run.exit_code == 1);
    CHECK(one_line(run.errors));
    CHECK_FALSE(std::filesystem::exists(out));
}

TEST_CASE("tune compares two profiles and asks for something to compare them on") {
    const TestFolder folder;
    const std::string shipped = std::string(QUIETPASS_SOURCE_DIR) + "/classifiers/profiles/cattle.toml";
    const std::string audio =
        std::string(QUIETPASS_SOURCE_DIR) + "/testdata/recordings/cattle/ESC-50-16k__1-202111-A-3.flac";
    CHECK(tune(folder, "--quiet --compare " + shipped + " " + shipped + " --audio " + audio).exit_code == 0);
    std::ifstream out(folder.path() / "out");
    const std::string said{std::istreambuf_iterator<char>(out), std::istreambuf_iterator<char>()};
    CHECK(said.find("both hear 2 calls, only the old 0, only the new 0") != std::string::npos);
    const Run nothing = tune(folder, "--compare " + shipped + " " + shipped);
    CHECK(nothing.exit_code == 2);
    CHECK(nothing.errors.find("--audio") != std::string::npos);
}
