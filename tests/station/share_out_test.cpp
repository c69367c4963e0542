#include "daemon/share_out.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <stdexcept>
#include <string>
#include <vector>

using namespace quietpass;

TEST_CASE("each piece is done once, with any number of jobs and of pieces") {
    for (const std::size_t count : {0U, 1U, 2U, 7U, 200U}) {
        for (const int jobs : {-1, 0, 1, 2, 9}) {
            std::vector<std::atomic<int>> done(count);
            std::vector<int> told(count, 0); // by finished(), one at a time
            share_out(
                count, jobs, [&](std::size_t i) { ++done[i]; }, [&](std::size_t i) { told[i] += done[i]; });
            for (std::size_t i = 0; i < count; ++i) {
                CHECK(done[i] == 1);
                CHECK(told[i] == 1);
            }
        }
    }
}

TEST_CASE("never are two pieces told of as finished at once") {
    std::atomic<int> inside = 0;
    bool alone = true;
    share_out(
        300, 4, [](std::size_t) {},
        [&](std::size_t) {
            alone = alone && ++inside == 1;
            --inside;
        });
    CHECK(alone);
}

TEST_CASE("pieces wait for each other at the end: what they wrote is there") {
    std::vector<std::string> texts(50);
    share_out(texts.size(), 3, [&](std::size_t i) { texts[i] = std::to_string(i * i); });
    for (std::size_t i = 0; i < texts.size(); ++i) CHECK(texts[i] == std::to_string(i * i));
}

TEST_CASE(
    "of several failures the first piece's is thrown, when all before it are done, with any number of jobs") {
    for (const int jobs : {1, 2, 5}) {
        for (int again = 0; again < 50; ++again) {
            std::vector<std::atomic<int>> done(40);
            std::string thrown;
            try {
                share_out(done.size(), jobs, [&](std::size_t i) {
                    if (i == 11 || i == 12 || i == 30) throw std::runtime_error(std::to_string(i));
                    ++done[i];
                });
            } catch (const std::runtime_error& error) {
                thrown = error.what();
            }
            REQUIRE(thrown == "11");
            for (std::size_t i = 0; i < 11; ++i) REQUIRE(done[i] == 1);
            if (jobs == 1) REQUIRE(done[13] == 0); // no more are begun
        }
    }
}

TEST_CASE("no number of jobs given is one a processor, at least one") {
    CHECK(jobs_from(0) >= 1);
    CHECK(jobs_from(3) == 3);
}
