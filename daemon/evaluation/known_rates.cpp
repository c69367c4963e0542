#include "daemon/evaluation/known_rates.h"

#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>

#include "daemon/failure.h"

namespace quietpass {

namespace {

using evaluation::HearingRates;
using evaluation::KnownRates;
using evaluation::Rate;

Rate checked(std::int64_t k, std::int64_t n, const std::string& text) {
    if (k < 0 || n < 1 || k > n)
        throw Failure(kExitUsage, "evaluate: --rates " + text + ": expected counts with 0 <= K <= N, N > 0");
    return {k, n};
}

HearingRates rates_in(const nlohmann::json& row, const std::string& file) {
    const auto rate = [&](const char* name) {
        return checked(row.at(name).at("k").get<std::int64_t>(), row.at(name).at("n").get<std::int64_t>(),
                       file);
    };
    return {rate("sensitivity"), rate("specificity")};
}

KnownRates from_evaluation(const std::string& file) {
    std::ifstream in(file);
    if (!in) {
        throw Failure(kExitUsage, "evaluate: --rates " + file +
                                      ": can't be read; give an evaluation.json, or counts such as "
                                      "88/150,447/450");
    }
    KnownRates known;
    bool any = false;
    try {
        const nlohmann::json whole = nlohmann::json::parse(in);
        for (const nlohmann::json& row : whole.at("figures")) {
            if (row.at("unit") != "passage") continue;
            const std::string by = row.at("by");
            // A level whose quiet passages are of no one level has nothing to give.
            if (by == "snr" && row.at("specificity").at("n") == 0) continue;
            if (by == "all") known.all = rates_in(row, file);
            if (by == "snr")
                known.by_level[std::stoi(row.at("group").get<std::string>())] = rates_in(row, file);
            any = any || by == "all";
        }
    } catch (const nlohmann::json::exception&) {
        any = false;
    }
    if (!any) {
        throw Failure(kExitUsage, "evaluate: --rates " + file +
                                      ": isn't an evaluation.json with figures of passages; make one with "
                                      "`quietpass evaluate --shift … --out DIR`");
    }
    return known;
}

} // namespace

evaluation::KnownRates read_known_rates(const std::string& text) {
    static const std::regex kCounts(R"((\d{1,9})/(\d{1,9}),(\d{1,9})/(\d{1,9}))");
    std::smatch found;
    if (!std::regex_match(text, found, kCounts)) return from_evaluation(text);
    const auto number = [&](std::size_t i) { return std::stoll(found[i].str()); };
    KnownRates known;
    known.all = {checked(number(1), number(2), text), checked(number(3), number(4), text)};
    return known;
}

} // namespace quietpass
