#include "daemon/tuning/profile_writer.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>

#include "daemon/failure.h"
#include "tests/test_folder.h"

using namespace quietpass;
namespace fs = std::filesystem;

namespace {

std::string read(const fs::path& file) {
    std::ifstream in(file);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

} // namespace

TEST_CASE("A new profile takes the old one's place and each before it stays beside it") {
    const TestFolder folder;
    const fs::path file = folder.path() / "cattle.toml";
    write_whole(file, "one", true);
    CHECK(read(file) == "one");
    CHECK_FALSE(fs::exists(file.string() + ".1"));
    write_whole(file, "two", true);
    write_whole(file, "three", true);
    CHECK(read(file) == "three");
    CHECK(read(file.string() + ".1") == "one");
    CHECK(read(file.string() + ".2") == "two");
    CHECK(std::distance(fs::directory_iterator(folder.path()), {}) == 3);
}

TEST_CASE("Where nothing can be written, one line says so and nothing is left behind") {
    const TestFolder folder;
    CHECK_THROWS_AS(write_whole(folder.path() / "nowhere" / "p.toml", "x", true), Failure);
    CHECK_FALSE(fs::exists(folder.path() / "nowhere"));
    fs::create_directory(folder.path() / "p.toml");
    fs::create_directory(folder.path() / "p.toml" / "inside");
    CHECK_THROWS_AS(write_whole(folder.path() / "p.toml", "x", false), Failure);
    CHECK_FALSE(fs::exists(folder.path() / "p.toml.new"));
}
