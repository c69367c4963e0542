#include "daemon/calibration/calibration_book.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/records/utc_text.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

Calibration sample(const std::string& at, double sensitivity_db, const std::string& microphone = "head") {
    Calibration calibration;
    calibration.calibrated_at = at;
    calibration.station = "box-2";
    calibration.microphone = microphone;
    calibration.sensitivity_db_spl_fs = sensitivity_db;
    calibration.calibrator_serial = "A \"12\", 3";
    calibration.tone.level_db = 94.0 - sensitivity_db;
    calibration.tone.frequency_hz = 1000.4;
    calibration.source = "device hw:CARD=USB,DEV=0";
    return calibration;
}

constexpr const char* kMarch = "2026-03-02T05:00:00.000Z";
constexpr const char* kApril = "2026-04-02T05:00:00.000Z";

} // namespace

TEST_CASE("Calibrations come back as they were added, and the rows before stay byte for byte") {
    const TestFolder temp;
    RealFiles files;
    add_calibration(files, temp / "records", sample(kMarch, 114.25));
    const std::string first = *files.read(temp / "records/calibrations.csv");
    Calibration second = sample(kApril, 115.5);
    second.drift_db = 1.25;
    add_calibration(files, temp / "records", second);
    const std::string both = *files.read(temp / "records/calibrations.csv");
    CHECK(both.substr(0, first.size()) == first);

    const auto all = read_calibrations(temp / "records/calibrations.csv");
    REQUIRE(all.size() == 2);
    CHECK(all[0].calibrated_at == kMarch);
    CHECK(all[0].sensitivity_db_spl_fs == 114.25);
    CHECK_FALSE(all[0].drift_db);
    CHECK(all[0].calibrator_serial == "A \"12\", 3");
    CHECK(all[0].source == "device hw:CARD=USB,DEV=0");
    CHECK(all[1].drift_db == 1.25);
    CHECK(all[1].tone.frequency_hz == 1000.4);
}

TEST_CASE("No file is no calibration; a damaged file is refused with its line and never added to") {
    const TestFolder temp;
    RealFiles files;
    const auto file = temp / "calibrations.csv";
    CHECK(read_calibrations(file).empty());
    add_calibration(files, temp.path(), sample(kMarch, 114.0));
    const std::string good = *files.read(file);
    for (const std::string& bad : {good + "2026-03-03,half a row\n", std::string("something else\n"),
                                   good.substr(0, good.size() - 5)}) {
        files.write(file, bad);
        try {
            add_calibration(files, temp.path(), sample(kApril, 114.0));
            FAIL("nothing was thrown");
        } catch (const Failure& failure) {
            CHECK(std::string(failure.what()).find(file.string()) == 0);
        }
        CHECK(*files.read(file) == bad);
    }
}

TEST_CASE("A row that is no calibration is named with its line") {
    const TestFolder temp;
    RealFiles files;
    const auto file = temp / "calibrations.csv";
    add_calibration(files, temp.path(), sample(kMarch, 114.0));
    files.write(file, *files.read(file) + "2026-03-03T05:00:00Z,box-2,head,much,,94,,,,,,,\n");
    CHECK_THROWS_WITH(read_calibrations(file),
                      file.string() + ":3: sensitivity_db_spl_fs: expected a number, got \"much\"");
}

TEST_CASE("The calibration in force is the latest of that microphone at or before the moment") {
    const std::vector<Calibration> all = {sample(kApril, 115.0), sample(kMarch, 114.0),
                                          sample(kApril, 99.0, "race")};
    const auto in_force = [&](std::optional<std::int64_t> at_utc_ns) {
        return calibration_in_force(all, "box-2", "head", at_utc_ns);
    };
    CHECK(in_force(std::nullopt)->sensitivity_db_spl_fs == 115.0);
    CHECK(in_force(*utc_from_text("2026-03-20T00:00:00Z"))->sensitivity_db_spl_fs == 114.0);
    CHECK(in_force(*utc_from_text(kMarch))->sensitivity_db_spl_fs == 114.0);
    CHECK(in_force(*utc_from_text("2026-03-01T00:00:00Z")) == nullptr);
    CHECK(calibration_in_force(all, "box-3", "head", std::nullopt) == nullptr);
}

TEST_CASE("The station file's sensitivity goes before a calibration") {
    StationSettings settings;
    settings.name = "box-2";
    settings.microphones.resize(3);
    settings.microphones[0].name = "head";
    settings.microphones[1].name = "race";
    settings.microphones[1].reference.emplace().sensitivity_db_spl_fs = 120.0;
    settings.microphones[2].name = "yard";
    const std::vector<Calibration> all = {sample(kMarch, 114.0), sample(kMarch, 99.0, "race")};
    CHECK(use_calibrations(settings, all, std::nullopt));
    CHECK(settings.microphones[0].reference->sensitivity_db_spl_fs == 114.0);
    CHECK(settings.microphones[0].reference->calibrated_at == kMarch);
    CHECK(settings.microphones[1].reference->sensitivity_db_spl_fs == 120.0);
    CHECK(settings.microphones[1].reference->calibrated_at.empty());
    CHECK_FALSE(settings.microphones[2].reference);
}
