// FORMATS.md is what others build on: it must name every column and key that the code writes.
#include <SQLiteCpp/Database.h>
#include <SQLiteCpp/Statement.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "daemon/calibration/calibration_book.h"
#include "daemon/records/calls_csv.h"
#include "daemon/records/files.h"
#include "daemon/records/passages_csv.h"
#include "daemon/records/shift_json.h"
#include "daemon/records/store.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::string formats() {
    const auto text = RealFiles().read(QUIETPASS_FORMATS);
    REQUIRE(text);
    return *text;
}

bool names(const std::string& text, const std::string& word) {
    return text.find('`' + word + '`') != std::string::npos;
}

} // namespace

TEST_CASE("FORMATS.md shows the header of each CSV file") {
    const std::string text = formats();
    CHECK(text.find(calls_csv(Species::kCattle, {})) != std::string::npos);
    CHECK(text.find(passages_csv({})) != std::string::npos);
    CHECK(text.find(kCalibrationsHeader) != std::string::npos);
}

TEST_CASE("FORMATS.md names every key of shift.json") {
    const std::string text = formats();
    const auto record = nlohmann::ordered_json::parse(shift_json({}));
    for (const auto& [key, value] : record.items()) {
        INFO(key);
        CHECK(names(text, key));
    }
}

TEST_CASE("FORMATS.md names every table and column of the store") {
    const std::string text = formats();
    const TestFolder temp;
    const Store store(temp / "records.sqlite");
    SQLite::Database database((temp / "records.sqlite").string());
    SQLite::Statement columns(database,
                              "SELECT tables.name, columns.name FROM pragma_table_list AS tables "
                              "JOIN pragma_table_info(tables.name) AS columns "
                              "WHERE tables.schema = 'main' AND tables.name NOT LIKE 'sqlite%'");
    int count = 0;
    while (columns.executeStep()) {
        INFO(columns.getColumn(0).getString() << "." << columns.getColumn(1).getString());
        CHECK(names(text, columns.getColumn(0).getString()));
        CHECK(names(text, columns.getColumn(1).getString()));
        ++count;
    }
    CHECK(count > 60);
}
