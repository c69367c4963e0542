#include "daemon/records/csv_line.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <limits>
#include <vector>

using namespace quietpass;

namespace {

// A reader written from RFC 4180's grammar, for one line.
std::vector<std::string> fields_of(const std::string& line) {
    std::vector<std::string> fields(1);
    bool quoted = false;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        if (quoted && line[i] == '"' && line[i + 1] == '"') {
            fields.back() += '"';
            ++i;
        } else if (line[i] == '"') {
            quoted = !quoted;
        } else if (line[i] == ',' && !quoted) {
            fields.emplace_back();
        } else {
            fields.back() += line[i];
        }
    }
    return fields;
}

} // namespace

TEST_CASE("Fields with commas, quotes and line ends are quoted, others are not") {
    CsvLine line;
    CHECK(line.text("plain").text("a,b").text("say \"moo\"").text("two\nlines").text("").take() ==
          "plain,\"a,b\",\"say \"\"moo\"\"\",\"two\nlines\",\n");
}

TEST_CASE("Numbers have fixed decimals, what is missing is empty, minus zero is zero") {
    CsvLine line;
    CHECK(line.number(1.0, 3).number(-2.0005, 3).number(1e9, 1).take() == "1.000,-2.001,1000000000.0\n");
    CHECK(line.number(std::numeric_limits<double>::quiet_NaN(), 3).missing().integer(-7).take() == ",,-7\n");
    CHECK(line.number(-0.0, 3).number(-0.0001, 3).take() == "0.000,0.000\n");
    CHECK(line.number(std::numeric_limits<double>::infinity(), 3).yes_no(true).yes_no(false).take() ==
          ",1,0\n");
    CHECK(line.number(std::numeric_limits<double>::max(), 3).take().size() == 314);
}

TEST_CASE("Any text comes back from the line as it went in") {
    rc::prop("for any fields", [] {
        const auto fields = *rc::gen::nonEmpty(rc::gen::container<std::vector<std::string>>(
            rc::gen::container<std::string>(rc::gen::element('a', ',', '"', '\n', '\r', ' '))));
        CsvLine line;
        for (const std::string& field : fields) line.text(field);
        RC_ASSERT(fields_of(line.take()) == fields);
    });
}
