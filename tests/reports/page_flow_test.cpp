#include "daemon/reports/pdf/page_flow.h"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "tests/reports/read_page.h"

using namespace quietpass;
using namespace quietpass::test;

namespace {

// A table under what takes up the page but for `left_pt`: its words, page by page.
std::vector<std::string> pages_with(double left_pt, int rows) {
    Canvas canvas(Paper::kA4, {"", "", "", "2026-03-02"});
    PageFlow flow(canvas, [](Pen&) {});
    const double room = flow.room();
    flow.add([&](Pen& pen) { pen.skip(room - left_pt); }, 0.0);
    std::vector<TableRow> cells;
    for (int row = 1; row <= rows; ++row) cells.push_back({{"row" + std::to_string(row)}, false});
    flow.add_rows(
        TableBlock({{"shift", 1.0}}, 7.2), [](Pen& pen) { pen.heading("Shifts"); }, cells);
    flow.end();
    const TestFolder folder;
    write_text(folder / "table.pdf", canvas.finish());
    const int pages = canvas.page();
    std::vector<std::string> words;
    for (int page = 1; page <= pages; ++page) {
        const std::string number = std::to_string(page);
        words.push_back(flat(
            tool({"/usr/bin/pdftotext", "-f", number, "-l", number, (folder / "table.pdf").string(), "-"})));
    }
    return words;
}

} // namespace

TEST_CASE("A table begins where its header and three rows have room, or on the next page") {
    const auto roomy = pages_with(80.0, 20);
    REQUIRE(roomy.size() == 2);
    CHECK(has(roomy[0], "Shifts shift row1 row2 row3 row4"));
    CHECK(has(roomy[1], "Shifts shift row")); // the header again
    CHECK(has(roomy[1], "row20"));

    const auto tight = pages_with(45.0, 20);
    REQUIRE(tight.size() == 2);
    CHECK_FALSE(has(tight[0], "Shifts"));
    CHECK(has(tight[1], "Shifts shift row1 row2 row3"));

    const auto two = pages_with(60.0, 2); // all of it has room
    REQUIRE(two.size() == 1);
    CHECK(has(two[0], "row2"));
}

TEST_CASE("A table longer than a page goes on under its header, no row lost") {
    const auto pages = pages_with(200.0, 150);
    REQUIRE(pages.size() > 2);
    int row = 0;
    for (const std::string& page : pages) {
        CHECK(has(page, "Shifts shift row" + std::to_string(row + 1) + " "));
        while (has(page + " ", "row" + std::to_string(row + 1) + " ")) ++row;
    }
    CHECK(row == 150);
}
