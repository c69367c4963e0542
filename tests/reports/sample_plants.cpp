// The stores whose reports are looked at.

#include <fmt/format.h>

#include "tests/reports/made_plant.h"

namespace quietpass::test {

namespace {

std::string day(int number, const char* time) {
    return fmt::format("2026-{:02}-{:02}T{}Z", 2 + number / 28, 1 + number % 28, time);
}

} // namespace

void make_good_plant(const std::filesystem::path& file) {
    MadePlant plant(file, cattle_box(), 11);
    plant.sign();
    for (int i = 0; i < 28; ++i) {
        MadeShift shift;
        shift.start = day(i, "13:00:00");
        shift.animals = 560 + 40 * (i % 5);
        shift.vocal = i < 15 ? 0.045 : 0.018;
        plant.add(shift);
    }
    plant.change("2026-02-16T00:30:00Z", "floor", "ribbed rubber mat laid in the entrance", "R. Oduya");
    MadeShift shift;
    shift.start = "2026-03-02T13:00:00Z";
    shift.animals = 702;
    shift.vocal = 0.012;
    plant.lots(shift.start, 6, 4700.0);
    const std::int64_t id = plant.add(shift);
    plant.hand_audit(id, "L. Marsh", 100, 2);
    plant.alarm("microphone_fault", "head", "2026-03-02T15:12:00Z", 1, 240.0, "L. Marsh", 900.0);
}

void make_bad_plant(const std::filesystem::path& file) {
    StationSettings settings = cattle_box();
    settings.name = "restrainer at the north race, second line";
    settings.scoring.basis =
        "example guide for handling at plants with conveyor restrainers and boxes, 2024 edition, part on "
        "vocalization";
    MadePlant plant(file, settings, 5);
    plant.sign();
    for (int i = 0; i < 28; ++i) {
        MadeShift shift;
        shift.start = day(i, "13:00:00");
        shift.animals = 500 + 50 * (i % 4);
        shift.vocal = 0.03;
        plant.add(shift);
    }
    plant.change("2026-02-10T22:00:00Z", "head holder", "new hydraulic valve", "R. Oduya");
    plant.change(
        "2026-02-27T04:00:00Z", "light",
        "lamp over the entrance replaced by a brighter one that shines against the animals as they come "
        "up the race, until the electrician has the right one",
        "Ł. Żółkiewska");
    MadeShift shift;
    shift.name = "early shift with training of new staff";
    shift.start = "2026-03-02T13:00:00Z";
    shift.animals = 655;
    shift.vocal = 0.05;
    shift.held_long = 0.22;
    shift.vocal_when_long = 0.28;
    shift.prodded = 0.15;
    shift.vocal_when_prodded = 0.2;
    shift.second_stun = 0.04;
    shift.after_stun = 0.006;
    shift.not_heard = 0.06;
    shift.bangs = 0.4;
    plant.lots(shift.start, 5, 5300.0);
    const std::int64_t id = plant.add(shift);
    plant.change("2026-03-02T17:45:00Z", "prod", "prod taken out of use at the entrance", "L. Marsh");
    plant.hand_audit(id, "L. Marsh", 100, 6);
    for (int i = 0; i < 4; ++i) {
        plant.alarm("call_after_stun", "head", fmt::format("2026-03-02T1{}:07:00Z", 3 + 2 * i), 1 + i % 2,
                    i == 3 ? 0.0 : 95.0 + 60.0 * i, "R. Oduya", 600.0);
    }
    for (int i = 0; i < 7; ++i) {
        plant.alarm("hold_too_long", "", fmt::format("2026-03-02T1{}:3{}:00Z", 3 + i, i), 1 + i,
                    i % 2 == 0 ? 300.0 : 0.0, "L. Marsh", i == 6 ? 0.0 : 1200.0);
    }
    plant.alarm("rate_up", "", "2026-03-02T14:20:00Z", 1, 900.0, "L. Marsh", 0.0);
    plant.alarm("contacts_lost", "192.0.2.10:502", "2026-03-02T18:00:00Z", 1, 0.0, "", 65.0);
    for (int i = 0; i < 2; ++i) {
        plant.alarm("second_stun", "", fmt::format("2026-03-02T16:1{}:00Z", i), 2, 45.0, "R. Oduya", 500.0);
    }
}

void make_pig_month(const std::filesystem::path& file) {
    StationSettings settings = pig_box();
    settings.contacts.erase(settings.contacts.begin() + 5); // no prod
    MadePlant plant(file, settings, 3);
    plant.sign();
    for (int i = 0; i < 31; ++i) {
        for (int half = 0; half < 2; ++half) {
            if (i % 7 == 6) continue; // Sunday
            MadeShift shift;
            shift.name = half == 0 ? "early" : "late";
            shift.start = fmt::format("2026-03-{:02}T{}:00:00Z", 1 + i, half == 0 ? "05" : "13");
            shift.animals = 640 + 20 * (i % 4);
            shift.vocal = i < 12 ? 0.05 : 0.03;
            shift.vocal_when_long = 0.12;
            shift.prodded = 0.0;
            shift.every_s = 38.0;
            if (i == 17 && half == 1) shift.vocal = 0.09;
            plant.add(shift);
        }
    }
    plant.change("2026-03-12T20:00:00Z", "box", "sides set 20 mm wider", "J. Iversen");
    for (int i = 0; i < 14; ++i) {
        plant.alarm("second_stun", "", fmt::format("2026-03-{:02}T09:1{}:00Z", 1 + 2 * i, i % 10), 1,
                    120.0 + 30.0 * i, "J. Iversen", 900.0);
    }
    plant.alarm("microphone_lost", "head", "2026-03-19T14:00:00Z", 1, 0.0, "", 260.0);
    plant.hand_audit(9, "J. Iversen", 100, 3);
    plant.hand_audit(31, "J. Iversen", 100, 4);
    plant.open("2026-03-31T21:00:00Z");
}

} // namespace quietpass::test
