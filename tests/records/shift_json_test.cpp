#include "daemon/records/shift_json.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "daemon/shifts/tally.h"

using namespace quietpass;

namespace {

using Json = nlohmann::ordered_json;

ShiftRecord record_of(Species species, int vocal, int animals) {
    StationSettings settings;
    settings.name = "box-2";
    settings.species = species;
    settings.timezone = "America/Denver";
    settings.scoring = {5.0, "a guide, an edition"};
    settings.microphones.resize(2);
    settings.microphones[0].name = "head";
    settings.microphones[0].reference =
        LevelReference{114.25, "2026-03-02T05:00:00.000Z", "1234", 94.0, -0.3};
    settings.microphones[1].name = "race";
    Tally tally(settings);
    for (int id = 1; id <= animals; ++id) {
        Passage passage;
        passage.id = id;
        passage.entered_s = 10.0 * id;
        passage.end_s = passage.entered_s + 5.0;
        passage.held_s = passage.entered_s + 1.0;
        passage.stunned_s = passage.held_s + 0.1 * id;
        passage.vocal = id <= vocal;
        passage.calls = passage.vocal ? 1 : 0;
        tally.add(passage);
        if (!passage.vocal) continue;
        StationCall call;
        call.passage_id = id;
        call.phase = Phase::kHeld;
        call.counted = true;
        tally.add(call);
    }
    Passage unheard;
    unheard.id = animals + 1;
    unheard.entered_s = 10.0 * (animals + 1);
    unheard.covered = false;
    unheard.excluded = "silent";
    tally.add(unheard);
    tally.add(Gap{"head", unheard.entered_s, unheard.entered_s + 10.0, GapCause::kSilent});
    ShiftRecord record = tally.record(0.0, 1200.0);
    record.shift = "early";
    record.start_utc_ns = 1772946000000000000;
    record.end_utc_ns = 1772947200000000000;
    record.versions = {{"quietpass", "0.1.0"}};
    record.hashes = {{"configuration", "c0"}, {"profile", "b0"}};
    return record;
}

} // namespace

TEST_CASE("The keys of the contract are there in its order") {
    const Json json = Json::parse(shift_json(record_of(Species::kCattle, 3, 100)));
    const std::vector<std::string> contract = {"station",       "species",       "start",
                                               "end",           "scored",        "vocal",
                                               "percent",       "percent_low",   "percent_high",
                                               "excluded",      "by_phase",      "line_rate_per_hour",
                                               "held_for_s",    "stunned_twice", "calls_after_stun",
                                               "limit_percent", "basis",         "verdict",
                                               "coverage",      "versions",      "hashes"};
    std::vector<std::string> found;
    for (const auto& [key, value] : json.items()) {
        if (std::find(contract.begin(), contract.end(), key) != contract.end()) found.push_back(key);
    }
    CHECK(found == contract);
}

TEST_CASE("A shift's record says these bytes") {
    CHECK(shift_json(record_of(Species::kCattle, 3, 100)) == R"({
  "station": "box-2",
  "species": "cattle",
  "shift": "early",
  "timezone": "America/Denver",
  "start": "2026-03-08T05:00:00.000Z",
  "end": "2026-03-08T05:20:00.000Z",
  "start_s": 0.0,
  "end_s": 1200.0,
  "ended_by": "end",
  "passages": 101,
  "scored": 100,
  "vocal": 3,
  "percent": 3.0,
  "percent_low": 1.03,
  "percent_high": 8.45,
  "confidence": 0.95,
  "not_scored_because": null,
  "excluded": {
    "silent": 1
  },
  "by_phase": {
    "entry": {
      "vocal_passages": 0,
      "counted_calls": 0
    },
    "body_held": {
      "vocal_passages": 0,
      "counted_calls": 0
    },
    "held": {
      "vocal_passages": 3,
      "counted_calls": 3
    },
    "at_stun": {
      "vocal_passages": 0,
      "counted_calls": 0
    }
  },
  "running_s": 1200.0,
  "stopped_s": 0.0,
  "line_rate_per_hour": 303.0,
  "held_for_s": {
    "median": 5.05,
    "p95": 9.505,
    "max": 10.0,
    "n": 100
  },
  "body_held_for_s": {
    "median": null,
    "p95": null,
    "max": null,
    "n": 0
  },
  "to_stun_s": {
    "median": 6.05,
    "p95": 10.505,
    "max": 11.0,
    "n": 100
  },
  "restrained_for_s": {
    "median": null,
    "p95": null,
    "max": null,
    "n": 0
  },
  "stunned_twice": 0,
  "stunned_once": {
    "stunned": 0,
    "once": 0,
    "percent": null,
    "percent_low": null,
    "percent_high": null
  },
  "holder_bangs": {
    "held": 0,
    "with_bang": 0,
    "bangs": 0
  },
  "calls_after_stun": 0,
  "calls_at_stun": null,
  "squeals_at_stun": null,
  "whose_call": {
    "told_by": "nothing",
    "waiting_calls": null,
    "note": "calls of waiting animals can't be told from the restrained animal's and may count: give each [[microphone]] its up_race_m, one at the restraint and one at 4 m or more up the race"
  },
  "limit_percent": 5.0,
  "basis": "a guide, an edition",
  "verdict": "within_limit",
  "interval_contains_limit": true,
  "coverage": {
    "passages": 0.9901,
    "time_heard": 0.9917,
    "contacts_known": 1.0
  },
  "microphones": [
    {
      "name": "head",
      "levels": "dB SPL",
      "sensitivity_db_spl_fs": 114.25,
      "calibrated_at": "2026-03-02T05:00:00.000Z",
      "calibrator_serial": "1234",
      "calibrator_db": 94.0,
      "drift_db": -0.3,
      "not_heard_s": {
        "silent": 10.0
      }
    },
    {
      "name": "race",
      "levels": "dB re full scale",
      "sensitivity_db_spl_fs": null,
      "calibrated_at": null,
      "calibrator_serial": null,
      "calibrator_db": null,
      "drift_db": null,
      "not_heard_s": {}
    }
  ],
  "versions": {
    "quietpass": "0.1.0"
  },
  "hashes": {
    "configuration": "c0",
    "profile": "b0"
  }
}
)");
}

TEST_CASE("The same record gives the same bytes") {
    CHECK(shift_json(record_of(Species::kPig, 7, 33)) == shift_json(record_of(Species::kPig, 7, 33)));
}

TEST_CASE("Sheep have no percentage and the reason stands beside it") {
    const Json json = Json::parse(shift_json(record_of(Species::kSheep, 3, 10)));
    CHECK(json["scored"] == 0);
    CHECK(json["percent"].is_null());
    CHECK(json["percent_low"].is_null());
    CHECK(json["percent_high"].is_null());
    CHECK(json["verdict"] == "not_scored");
    CHECK(json["interval_contains_limit"].is_null());
    CHECK(json["not_scored_because"].get<std::string>().find("sheep") != std::string::npos);
}

TEST_CASE("Without a date the UTC times are null and the station's seconds stay") {
    ShiftRecord record = record_of(Species::kCattle, 0, 1);
    record.start_utc_ns.reset();
    record.end_utc_ns.reset();
    const Json json = Json::parse(shift_json(record));
    CHECK(json["start"].is_null());
    CHECK(json["end"].is_null());
    CHECK(json["end_s"] == 1200.0);
}

TEST_CASE("A name that is no UTF-8 does not cost the shift its record") {
    ShiftRecord record = record_of(Species::kCattle, 0, 1);
    record.station = "box\xff";
    CHECK(Json::parse(shift_json(record))["scored"] == 1);
}
