// Everything that is fuzzed, over its corpus and over what small changes make of it, the same at each run.
// QUIETPASS_FUZZ_ROUNDS: changes of each file (30).

#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>

#include "tests/fuzz/fuzzed.h"

using namespace quietpass::fuzz;

namespace {

std::vector<std::string> corpus_of(const std::string& name) {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(QUIETPASS_CORPUS "/" + name))
        files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    std::vector<std::string> all;
    for (const auto& path : files) {
        std::ifstream file(path, std::ios::binary);
        all.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
    }
    return all;
}

std::string changed(std::string bytes, std::mt19937& random) {
    const auto below = [&](std::size_t bound) {
        return std::uniform_int_distribution<std::size_t>(0, bound - 1)(random);
    };
    for (std::size_t changes = 1 + below(5); changes > 0; --changes) {
        const std::size_t at = below(bytes.size() + 1);
        switch (bytes.empty() ? 1 : below(5)) {
            case 0:
                bytes[std::min(at, bytes.size() - 1)] = static_cast<char>(below(256));
                break;
            case 1:
                bytes.insert(at, std::string(1 + below(20), static_cast<char>(below(256))));
                break;
            case 2:
                bytes.erase(at, 1 + below(40));
                break;
            case 3:
                bytes.insert(at, bytes.substr(below(bytes.size()), below(200)));
                break;
            default:
                bytes.resize(at);
        }
    }
    return bytes;
}

void run_over_corpus(const Fuzzed& fuzzed) {
    const char* wished = std::getenv("QUIETPASS_FUZZ_ROUNDS");
    const int rounds = wished != nullptr ? std::atoi(wished) : 30;
    const auto corpus = corpus_of(fuzzed.name);
    REQUIRE_FALSE(corpus.empty());
    std::mt19937 random(20261126);
    for (const std::string& bytes : corpus) {
        REQUIRE_NOTHROW(fuzzed.run(bytes));
        for (int round = 0; round < rounds; ++round) {
            const std::string made = changed(bytes, random);
            INFO(fuzzed.name << ": " << made.substr(0, 2000));
            REQUIRE_NOTHROW(fuzzed.run(made));
        }
    }
}

} // namespace

TEST_CASE("What reads from outside takes any bytes, and says in one line what is wrong with them") {
    for (const Fuzzed& fuzzed : all_fuzzed()) {
        DYNAMIC_SECTION(fuzzed.name) {
            run_over_corpus(fuzzed);
        }
    }
}
