#include "daemon/review/amendment_json.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "daemon/failure.h"
#include "daemon/records/sha256.h"
#include "daemon/records/shift_json.h"
#include "tests/review/findings.h"

using namespace quietpass;

namespace {

// Twenty animals, three vocal, a limit of 10 %.
ShiftRows closed_shift() {
    ShiftRows rows;
    rows.shift.shift_id = kShift;
    rows.shift.station = "box-1";
    rows.shift.name = "day";
    for (int id = 1; id <= 20; ++id) rows.passages.push_back(passage(id));
    rows.calls = {call(1, 1), call(2, 2), call(3, 3)};
    ShiftRecord record;
    record.station = "box-1";
    record.scored = 20;
    record.vocal = 3;
    record.percent = 15.0;
    record.percent_low = 5.24;
    record.percent_high = 36.04;
    record.limit_percent = 10.0;
    record.basis = "test guide, first edition";
    record.verdict = Verdict::kOverLimit;
    rows.shift.record_json = shift_json(record);
    return rows;
}

const Amendment kSecond{kShift, 2, 1'772'600'000'000'000'000, "B. Lead", ""};

} // namespace

TEST_CASE("An amendment has both figures side by side with their intervals and which calls were judged") {
    const ShiftRows shift = closed_shift();
    const std::vector<Finding> findings = {finding(1, 1, CallVerdict::kPerson),
                                           finding(2, 2, CallVerdict::kNotACall)};
    const auto json = nlohmann::json::parse(amendment_json(shift, findings, kSecond));
    CHECK(json["amendment"] == 2);
    CHECK(json["entered_by"] == "B. Lead");
    CHECK(json["shift_record_sha256"] == sha256_hex(shift.shift.record_json));
    CHECK(json["machine"]["vocal"] == 3);
    CHECK(json["machine"]["percent"] == 15.0);
    CHECK(json["machine"]["percent_high"] == 36.04);
    CHECK(json["machine"]["verdict"] == "over_limit");
    CHECK(json["reviewed"]["scored"] == 20);
    CHECK(json["reviewed"]["vocal"] == 1);
    CHECK(json["reviewed"]["percent"] == 5.0);
    CHECK(json["reviewed"]["percent_low"] == 0.89);
    CHECK(json["reviewed"]["percent_high"] == 23.61);
    CHECK(json["reviewed"]["verdict"] == "within_limit");
    CHECK(json["turned_silent"] == std::vector<int>{1, 2});
    REQUIRE(json["findings"].size() == 2);
    CHECK(json["findings"][0]["verdict"] == "person");
    CHECK(json["findings"][0]["call_id"] == 1);
    CHECK(json["findings"][0]["just_before"].is_null());
    CHECK(json["note"].get<std::string>().find("only lower") != std::string::npos);
}

TEST_CASE("The same findings give the same bytes of an amendment") {
    const ShiftRows shift = closed_shift();
    const std::vector<Finding> findings = {finding(1, 1, CallVerdict::kPerson)};
    CHECK(amendment_json(shift, findings, kSecond) == amendment_json(shift, findings, kSecond));
}

TEST_CASE("At the limit is within it, by review as by the machine") {
    ShiftRows shift = closed_shift();
    const std::vector<Finding> findings = {finding(1, 1, CallVerdict::kNotACall)};
    const auto json = nlohmann::json::parse(amendment_json(shift, findings, kSecond));
    CHECK(json["reviewed"]["percent"] == 10.0);
    CHECK(json["reviewed"]["verdict"] == "within_limit");
}

TEST_CASE("A shift record that can't be read fails in one line") {
    ShiftRows shift = closed_shift();
    shift.shift.record_json = "{";
    CHECK_THROWS_AS(amendment_json(shift, {}, kSecond), Failure);
}
