// The program itself, as `quietpass tune` starts it.
#include <sndfile.h>
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <iterator>

#include "tests/test_folder.h"
#include "tests/tuning/made_clips.h"

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

void write_wav(const std::string& file, const std::vector<float>& samples) {
    SF_INFO info{};
    info.samplerate = static_cast<int>(tuning::kClipRateHz);
    info.channels = 1;
    info.format = SF_FORMAT_WAV | SF_FORMAT_FLOAT;
    SNDFILE* out = sf_open(file.c_str(), SFM_WRITE, &info);
    REQUIRE(out != nullptr);
    sf_writef_float(out, samples.data(), static_cast<sf_count_t>(samples.size()));
    sf_close(out);
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
          "--species pig --clips x --out y --terms 2", "--species pig --out y", "--compare a.toml",
          "--compare a.toml b.toml", "--go-back a.toml --history a.toml", "--to 3",
          "--species pig --clips x --out y --audio a.wav"}) {
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

TEST_CASE("Tuned on findings alone, tuned again, compared and gone back: each step says what it did") {
    const TestFolder folder;
    std::string table = "file\tstart_s\tend_s\tfinding\n";
    for (int i = 0; i < 4; ++i) {
        const tuning::Clip call = tuning::made_call("call", 120 + 20 * i, i);
        const tuning::Clip burst = tuning::made_burst("burst", i);
        const std::string number = std::to_string(i);
        write_wav(folder.path("call" + number + ".wav"), call.samples);
        write_wav(folder.path("burst" + number + ".wav"), burst.samples);
        table += "call" + number + ".wav\t0.05\t1.15\tcall\n";
        table += "burst" + number + ".wav\t0\t0.4\tnot_call\n";
    }
    const std::string findings = folder.write("findings.tsv", table);
    const std::string profile = folder.path("cattle.toml");
    const std::string train = "--quiet --species cattle --findings " + findings + " --folds 2 --size 0.02 " +
                              "--terms 8 --out " + profile + " --seed ";
    Run run = tune(folder, train + "1");
    CAPTURE(run.errors);
    REQUIRE(run.exit_code == 0);
    CHECK(folder.text("out").find("What it takes for calls") != std::string::npos);
    const std::string first = folder.text("cattle.toml");
    REQUIRE(tune(folder, train + "2").exit_code == 0);
    CHECK(folder.text("cattle.toml.1") == first);
    CHECK(folder.text("cattle.toml") != first);

    REQUIRE(tune(folder, "--quiet --compare " + profile + ".1 " + profile + " --findings " + findings)
                .exit_code == 0);
    const std::string page = folder.text("out");
    CHECK(page.find("8 files") != std::string::npos);
    CHECK(page.find("calls that it hears") != std::string::npos);

    REQUIRE(tune(folder, "--go-back " + profile).exit_code == 0);
    CHECK(folder.text("cattle.toml") == first);
    run = tune(folder, "--go-back " + profile);
    CHECK(run.exit_code == 1);
    CHECK(one_line(run.errors));
    REQUIRE(tune(folder, "--history " + profile).exit_code == 0);
    CHECK(folder.text("out").find("cattle.toml.2  seed 2") != std::string::npos);

    // The same seed gives the same profile, byte by byte.
    REQUIRE(tune(folder, train + "1").exit_code == 0);
    CHECK(folder.text("cattle.toml") == first);
}
