// A conveyor of 240 animals an hour with sound, of whose edges one in a hundred is lost and one doubled:
// scenario-builder makes it, `score` hears it, and each animal and call is held against the truth.
//
// QUIETPASS_CONVEYOR_ANIMALS says how many go through: 150 where nothing is said, 2000 for the whole claim (a
// day's shift, some minutes of processor and 1.5 GB of sound).

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "tests/end_to_end/program.h"

using namespace quietpass::test;

namespace {

using Row = std::map<std::string, std::string>;

std::string animals_wished() {
    const char* const wished = std::getenv("QUIETPASS_CONVEYOR_ANIMALS");
    return wished != nullptr ? wished : "150";
}

// Columns that stand before any quoted one.
std::vector<Row> plain_rows(const std::filesystem::path& file) {
    const auto fields_of = [](const std::string& line) {
        std::vector<std::string> fields(1);
        for (const char letter : line) {
            if (letter == '"') break;
            if (letter == ',')
                fields.emplace_back();
            else
                fields.back() += letter;
        }
        return fields;
    };
    const auto lines = lines_of(text_of(file));
    REQUIRE_FALSE(lines.empty());
    const auto columns = fields_of(lines[0]);
    std::vector<Row> rows;
    for (std::size_t i = 1; i < lines.size(); ++i) {
        const auto fields = fields_of(lines[i]);
        Row row;
        for (std::size_t k = 0; k < std::min(fields.size(), columns.size()); ++k) row[columns[k]] = fields[k];
        rows.push_back(row);
    }
    return rows;
}

// One closing in a hundred is lost, one comes again 0.6 to 3 s later where the contact is free by then.
struct Spoiled {
    std::string csv;
    int lost = 0;
    int doubled = 0;
    int closings = 0;
};

Spoiled spoiled(const std::filesystem::path& contacts, std::uint32_t seed) {
    std::mt19937 dice(seed);
    const auto share = [&dice] { return static_cast<double>(dice()) / 4294967296.0; };
    std::map<std::string, std::vector<double>> closings; // of each input
    for (const Row& row : plain_rows(contacts)) {
        if (row.at("state") == "1") closings[row.at("input")].push_back(std::stod(row.at("time_s")));
    }
    Spoiled out;
    std::vector<std::pair<double, std::string>> lines;
    const auto pulse = [&](const std::string& input, double at_s) {
        ++out.closings;
        for (const bool closed : {true, false}) {
            char text[64];
            const double time_s = at_s + (closed ? 0.0 : 0.2);
            std::snprintf(text, sizeof text, "%.3f,%s,%d\n", time_s, input.c_str(), closed ? 1 : 0);
            lines.emplace_back(time_s, text);
        }
    };
    for (const auto& [input, times_s] : closings) {
        for (std::size_t i = 0; i < times_s.size(); ++i) {
            const double fate = share();
            if (fate < 0.01) {
                ++out.lost;
                continue;
            }
            pulse(input, times_s[i]);
            const double again_s = times_s[i] + 0.6 + 2.4 * share();
            const double next_s = i + 1 < times_s.size() ? times_s[i + 1] : again_s + 9.0;
            if (fate > 0.99 && again_s + 0.3 < next_s) {
                ++out.doubled;
                pulse(input, again_s);
            }
        }
    }
    std::stable_sort(lines.begin(), lines.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    out.csv = "time_s,input,state\n";
    for (const auto& [time_s, line] : lines) out.csv += line;
    return out;
}

int run_long(const std::vector<std::string>& words, const TestFolder& folder) {
    Background program(words, {}, folder / "o", folder / "e");
    for (int minute = 0; minute < 120 && !wait_until([&] { return !program.running(); }); ++minute) {
    }
    const int code = program.wait();
    INFO(program.err());
    REQUIRE(code == 0);
    return code;
}

bool near(const Row& found, const Row& truth, const char* column) {
    const std::string& a = found.at(column);
    const std::string& b = truth.at(column);
    return !a.empty() && !b.empty() && std::abs(std::stod(a) - std::stod(b)) < 0.05;
}

} // namespace

TEST_CASE(
    "240 animals an hour, 1 % of the edges lost and 1 % doubled: counted within one, calls on the right "
    "animal") {
    const TestFolder folder;
    std::string scenario = text_of(testdata() / "scenarios/cattle_conveyor.toml");
    const auto put = [&scenario](const std::string& before, const std::string& after) {
        const auto at = scenario.find(before);
        REQUIRE(at != std::string::npos);
        scenario.replace(at, before.size(), after);
    };
    put("passages = 150", "passages = " + animals_wished());
    put("../recordings", (testdata() / "recordings").string());
    write_text(folder / "scenario.toml", scenario);
    const std::filesystem::path made = folder / "made";
    run_long({SCENARIO_BUILDER, (folder / "scenario.toml").string(), "--out", made.string()}, folder);
    const Spoiled contacts = spoiled(made / "contacts.csv", 7);
    write_text(folder / "contacts.csv", contacts.csv);
    write_text(folder / "station.toml", R"([station]
name = "conveyor-1"
species = "cattle"
timezone = "UTC"
[restraint]
kind = "conveyor"
[[microphone]]
name = "stun"
zone = "stun"
[[contact]]
role = "entered"
[[contact]]
role = "stunned"
[[contact]]
role = "released"
[scoring]
limit_percent = 5.0
basis = "a made shift"
)");
    run_long({quietpass_program(), "score", "--station", (folder / "station.toml").string(), "--audio",
              (made / "audio.wav").string(), "--contacts", (folder / "contacts.csv").string(), "--out",
              (folder / "out").string()},
             folder);

    const auto record = nlohmann::json::parse(text_of(folder / "out" / "shift.json"));
    const auto animals = plain_rows(made / "truth.csv");
    const auto no_animal = record["excluded"].value("no_animal", 0);
    const int counted = record["passages"].get<int>() - no_animal;

    std::map<std::string, Row> passages;
    for (const Row& row : plain_rows(folder / "out" / "passages.csv")) passages[row.at("passage_id")] = row;
    const auto calls = plain_rows(folder / "out" / "calls.csv");
    int found = 0;
    int right = 0;
    const auto true_calls = plain_rows(made / "truth_calls.csv");
    for (const Row& call : true_calls) {
        const double start_s = std::stod(call.at("start_s"));
        const double end_s = std::stod(call.at("end_s"));
        const auto heard = std::find_if(calls.begin(), calls.end(), [&](const Row& one) {
            return std::stod(one.at("start_s")) < end_s && start_s < std::stod(one.at("end_s"));
        });
        if (heard == calls.end()) continue;
        ++found;
        const auto passage = passages.find(heard->at("passage_id"));
        const Row& animal = animals.at(static_cast<std::size_t>(std::stoi(call.at("passage")) - 1));
        if (passage != passages.end() &&
            (near(passage->second, animal, "entered_s") || near(passage->second, animal, "stunned_s")))
            ++right;
    }
    std::cout << "conveyor: " << animals.size() << " animals, " << contacts.closings << " closings, "
              << contacts.lost << " lost, " << contacts.doubled << " doubled; counted " << counted
              << "; true calls " << true_calls.size() << ", heard " << found << ", on the right animal "
              << right << " (" << 100.0 * right / std::max(found, 1) << " %)\n";
    CHECK(contacts.lost >= 1);
    CHECK(contacts.doubled >= 1);
    CHECK(std::abs(counted - static_cast<int>(animals.size())) <= 1);
    REQUIRE(found >= static_cast<int>(true_calls.size()) / 2);
    CHECK(right >= 0.97 * found);
}
