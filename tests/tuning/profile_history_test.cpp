#include "daemon/tuning/profile_history.h"

#include <catch2/catch.hpp>
#include <functional>

#include "classifiers/profile_text.h"
#include "daemon/failure.h"
#include "daemon/tuning/history_text.h"
#include "daemon/tuning/profile_writer.h"
#include "tests/test_folder.h"

using namespace quietpass;
namespace fs = std::filesystem;

namespace {

std::string profile_text(const std::string& version) {
    Profile profile;
    profile.name = "cattle";
    profile.version = version;
    profile.cards.emplace_back();
    profile.cards[0].terms.push_back({{{0, true, 1.0F}}, 1.0});
    return profile_to_toml(profile);
}

std::string line_of_failure(const std::function<void()>& act) {
    try {
        act();
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitFailure);
        CHECK(std::string(failure.what()).find('\n') == std::string::npos);
        return failure.what();
    }
    FAIL("no Failure was thrown");
    return {};
}

// a, b, c written in turn: a is FILE.1, b FILE.2, c the present one.
fs::path three_in_turn(const TestFolder& folder) {
    const fs::path file = folder / "cattle.toml";
    for (const char* version : {"a", "b", "c"}) write_whole(file, profile_text(version), true);
    return file;
}

} // namespace

TEST_CASE("Going back puts the profile before the present one in its place and keeps the present one") {
    const TestFolder folder;
    const fs::path file = three_in_turn(folder);
    const GoneBack back = go_back(file);
    CHECK(back.now.number == 2);
    CHECK(back.before.number == 3);
    CHECK(folder.text("cattle.toml") == profile_text("b"));
    CHECK(folder.text("cattle.toml.3") == profile_text("c"));
    CHECK(folder.text("cattle.toml.2") == profile_text("b"));
}

TEST_CASE("Going back again goes one further, nothing is kept twice, and any number can be had again") {
    const TestFolder folder;
    const fs::path file = three_in_turn(folder);
    go_back(file);
    go_back(file);
    CHECK(folder.text("cattle.toml") == profile_text("a"));
    CHECK(history_of(file).size() == 3);
    CHECK(line_of_failure([&] { go_back(file); }).find("earliest") != std::string::npos);
    go_back(file, 3);
    CHECK(folder.text("cattle.toml") == profile_text("c"));
    CHECK(history_of(file).size() == 3);
    CHECK(line_of_failure([&] { go_back(file, 9); }).find("there are 1, 2, 3") != std::string::npos);
}

TEST_CASE("After going back a new profile is kept by the next number and no kept one is written over") {
    const TestFolder folder;
    const fs::path file = three_in_turn(folder);
    go_back(file);
    write_whole(file, profile_text("d"), true);
    CHECK(folder.text("cattle.toml.4") == profile_text("b"));
    CHECK(folder.text("cattle.toml.3") == profile_text("c"));
    go_back(file);
    CHECK(folder.text("cattle.toml") == profile_text("b"));
    CHECK(folder.text("cattle.toml.5") == profile_text("d"));
}

TEST_CASE("Without an earlier profile, or with a damaged one, nothing is changed and one line says so") {
    const TestFolder folder;
    const fs::path file = folder / "cattle.toml";
    line_of_failure([&] { go_back(file); });
    write_whole(file, profile_text("a"), true);
    CHECK(line_of_failure([&] { go_back(file); }).find("no earlier profile") != std::string::npos);
    folder.write("cattle.toml.1", "this is no profile");
    folder.write("cattle.toml.01", profile_text("x"));
    folder.write("cattle.toml.old", profile_text("x"));
    CHECK(line_of_failure([&] { go_back(file); }).find("is no profile") != std::string::npos);
    CHECK(folder.text("cattle.toml") == profile_text("a"));
    CHECK(history_of(file).size() == 1);
}

TEST_CASE("A history names every kept profile and the present one") {
    const TestFolder folder;
    const std::string text = history_text(three_in_turn(folder).string());
    CHECK(text.find("cattle.toml.1  a, 1 terms") == 0);
    CHECK(text.find("\ncattle.toml (present)  c, 1 terms") != std::string::npos);
    line_of_failure([&] { history_text(folder.path("nowhere.toml")); });
}
