// Writes the stores of sample_plants.cpp, so that their reports can be looked at.
// Usage: report-samples FOLDER

#include <cstdio>
#include <filesystem>

#include "tests/reports/made_plant.h"

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "report-samples: expected a folder\n");
        return 2;
    }
    const std::filesystem::path folder(argv[1]);
    for (const char* name : {"good", "bad", "pigs"}) std::filesystem::create_directories(folder / name);
    quietpass::test::make_good_plant(folder / "good" / "records.db");
    quietpass::test::make_bad_plant(folder / "bad" / "records.db");
    quietpass::test::make_pig_month(folder / "pigs" / "records.db");
    return 0;
}
