#include "daemon/records/delimited_table.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <fstream>

#include "daemon/failure.h"
#include "daemon/records/csv_line.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

std::filesystem::path file_with(const TestFolder& folder, const std::string& text) {
    const std::filesystem::path file = folder.path() / "table";
    std::ofstream(file, std::ios::binary | std::ios::trunc) << text;
    return file;
}

} // namespace

TEST_CASE("A table reads back what CsvLine wrote, whatever letters are in it") {
    const TestFolder folder;
    rc::prop("for any two texts", [&] {
        const auto letters = rc::gen::element('a', ',', '"', ' ', ';', '\n', '\t');
        const auto first = *rc::gen::container<std::string>(letters);
        const auto second = *rc::gen::container<std::string>(letters);
        CsvLine line;
        const std::string text = line.text("one").text("two").text("last").take() +
                                 line.text(first).text(second).text("end").take();
        DelimitedTable table(file_with(folder, text), Delimiter::kComma);
        RC_ASSERT(table.next());
        RC_ASSERT(table.cell("one") == first);
        RC_ASSERT(table.cell("two") == second);
        RC_ASSERT(table.cell("last") == "end");
        RC_ASSERT(!table.next());
    });
}

TEST_CASE("Byte-order mark, CR LF, empty lines and missing cells at a line's end are accepted") {
    const TestFolder folder;
    DelimitedTable table(file_with(folder, "\xEF\xBB\xBFname\tcount\tmore\r\n\r\n\"a\"\t7\r\n"),
                         Delimiter::kTab);
    REQUIRE(table.next());
    CHECK(table.cell("name") == "\"a\""); // nothing is quoted between tabs
    CHECK(table.count("count") == 7);
    CHECK(table.cell_or_empty("more").empty());
    CHECK_FALSE(table.number("more"));
    CHECK_FALSE(table.next());
}

TEST_CASE("What a cell should have been is told with file, line and column") {
    const TestFolder folder;
    const auto file = file_with(folder, "a,b\n\n1,x\n");
    DelimitedTable table(file, Delimiter::kComma);
    REQUIRE(table.next());
    const auto told = [&](const auto& ask) -> std::string {
        try {
            ask();
        } catch (const Failure& failure) {
            return failure.what();
        }
        return "";
    };
    CHECK(told([&] { (void)table.number("b"); }) == file.string() + ":3: b: expected a number, got \"x\"");
    CHECK(told([&] { (void)table.yes_no("b"); }).find("expected 1 (yes) or 0 (no)") != std::string::npos);
    CHECK(told([&] { (void)table.cell("c"); }) == file.string() + ":3: no column \"c\"");
    CHECK(told([&] {
              DelimitedTable(file_with(folder, "a\n\"x"), Delimiter::kComma).next();
          }).find("never closed") != std::string::npos);
    CHECK(told([&] { DelimitedTable(file_with(folder, ""), Delimiter::kComma); }).find(":1: empty") !=
          std::string::npos);
}
