#include "daemon/records/files.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "tests/records/simulated_files.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

const std::filesystem::path kFolder = "/out";
const std::vector<NamedBytes> kOld = {{"calls.csv", "old calls"}, {"shift.json", "old record"}};
const std::vector<NamedBytes> kNew = {{"calls.csv", "the new calls"}, {"shift.json", "the new record"}};

std::optional<std::string> bytes_of(const Files& files, const std::string& name) {
    return files.read(kFolder / name);
}

int exit_code_of(const std::function<void()>& action, std::string& line) {
    try {
        action();
    } catch (const Failure& failure) {
        line = failure.what();
        return failure.exit_code();
    }
    return 0;
}

} // namespace

TEST_CASE("A set that was written whole survives losing power at once") {
    SimulatedFiles files;
    write_whole(files, kFolder, kNew);
    files.restart();
    for (const NamedBytes& file : kNew) CHECK(bytes_of(files, file.name) == file.bytes);
    CHECK(files.names().size() == kNew.size());
}

TEST_CASE(
    "Losing power at any step leaves each file old or new, never half, and never new without those before "
    "it") {
    SimulatedFiles counting;
    write_whole(counting, kFolder, kNew);
    for (int step = 0; step < counting.steps(); ++step) {
        INFO("power cut before step " << step);
        SimulatedFiles files;
        write_whole(files, kFolder, kOld);
        files.cut_power_before(step);
        CHECK_THROWS_AS(write_whole(files, kFolder, kNew), PowerCut);
        files.restart();
        for (std::size_t i = 0; i < kNew.size(); ++i) {
            const auto bytes = bytes_of(files, kNew[i].name);
            CHECK((bytes == kOld[i].bytes || bytes == kNew[i].bytes));
        }
        if (bytes_of(files, "shift.json") == kNew[1].bytes)
            CHECK(bytes_of(files, "calls.csv") == kNew[0].bytes);
    }
}

TEST_CASE("A disk that fills up while a set is written leaves the folder as it was") {
    // Two writes and two syncs come before the first rename.
    for (int step = 0; step < 4; ++step) {
        INFO("full from step " << step);
        SimulatedFiles files;
        write_whole(files, kFolder, kOld);
        files.fail_from(step, std::errc::no_space_on_device);
        std::string line;
        CHECK(exit_code_of([&] { write_whole(files, kFolder, kNew); }, line) == kExitFailure);
        CHECK(line.find("/out") != std::string::npos);
        CHECK(line.find("free some space") != std::string::npos);
        CHECK(line.find('\n') == std::string::npos);
        for (const NamedBytes& file : kOld) CHECK(bytes_of(files, file.name) == file.bytes);
        CHECK(files.names().size() == kOld.size());
    }
}

TEST_CASE("A read-only folder is found before the work and named") {
    SimulatedFiles files;
    files.fail_from(1, std::errc::read_only_file_system);
    std::string line;
    CHECK(exit_code_of([&] { prepare_output_folder(files, kFolder); }, line) == kExitFailure);
    CHECK(line.find("/out") != std::string::npos);
    CHECK(files.names().empty());
}

TEST_CASE("A full disk is found before the work and leaves nothing behind") {
    SimulatedFiles files;
    files.fail_from(1, std::errc::no_space_on_device);
    std::string line;
    CHECK(exit_code_of([&] { prepare_output_folder(files, kFolder); }, line) == kExitFailure);
    CHECK(files.names().empty());
}

TEST_CASE("The real disk: a set is written into a new folder, replaces itself and leaves nothing aside") {
    const TestFolder temp;
    RealFiles files;
    const std::filesystem::path folder = temp / "a/b";
    prepare_output_folder(files, folder);
    CHECK(std::filesystem::is_empty(folder));
    write_whole(files, folder, kOld);
    write_whole(files, folder, kNew);
    for (const NamedBytes& file : kNew) CHECK(files.read(folder / file.name) == file.bytes);
    CHECK(std::distance(std::filesystem::directory_iterator(folder), {}) == 2);
    CHECK_FALSE(files.read(folder / "nothing"));
}

TEST_CASE("The real disk: a folder that can't be made is one line and exit 1") {
    const TestFolder temp;
    RealFiles files;
    files.write(temp / "file", "x");
    std::string line;
    CHECK(exit_code_of([&] { prepare_output_folder(files, temp / "file"); }, line) == kExitFailure);
    CHECK(exit_code_of([&] { prepare_output_folder(files, temp / "file/below"); }, line) == kExitFailure);
    CHECK(exit_code_of([&] { write_whole(files, temp / "missing", kNew); }, line) == kExitFailure);
    CHECK(line.find('\n') == std::string::npos);
}

TEST_CASE("The real disk: a write that did not fit is an error with its cause") {
    RealFiles files;
    try {
        files.write("/dev/full", "bytes");
        FAIL("nothing was thrown");
    } catch (const std::system_error& error) {
        CHECK(error.code() == std::errc::no_space_on_device);
    }
}
