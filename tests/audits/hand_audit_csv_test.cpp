#include "daemon/audits/hand_audit_csv.h"

#include <catch2/catch.hpp>

#include "daemon/failure.h"
#include "daemon/records/utc_text.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

SpanRows shifts(std::int64_t count) {
    SpanRows rows;
    for (std::int64_t shift_id = 1; shift_id <= count; ++shift_id) {
        StoredShift shift;
        shift.shift_id = shift_id;
        rows.shifts.push_back(shift);
        for (std::int64_t id = 1; id <= 3; ++id) {
            SpanPassage passage;
            passage.shift_id = shift_id;
            passage.passage.id = id;
            rows.passages.push_back(passage);
        }
    }
    return rows;
}

std::vector<HandAuditRow> read(const TestFolder& folder, const std::string& text,
                               std::int64_t shift_count = 1) {
    return read_hand_audit(folder.write("audit.csv", text), shifts(shift_count), LocalTime("America/Denver"));
}

void check_refused(const std::string& text, const std::string& said, std::int64_t shift_count = 1) {
    const TestFolder folder;
    INFO(text);
    try {
        read(folder, text, shift_count);
        FAIL("nothing was thrown");
    } catch (const Failure& failure) {
        const std::string line = failure.what();
        INFO(line);
        CHECK(failure.exit_code() == kExitUsage);
        CHECK(line.find("audit.csv") != std::string::npos);
        CHECK(line.find(said) != std::string::npos);
        CHECK(line.find('\n') == std::string::npos);
    }
}

} // namespace

TEST_CASE("Passages by number or time, vocal or silent, with auditor and note") {
    const TestFolder folder;
    const auto rows = read(folder,
                           "passage,time,vocal,auditor,note\n"
                           "2,,vocal,anna,\"twice, loud\"\n"
                           ",2026-03-02 06:10:30,silent,anna,\n"
                           "3,,0,ben,\n");
    REQUIRE(rows.size() == 3);
    CHECK(rows[0].passage_id == 2);
    CHECK(rows[0].shift_id == 1); // the only one
    CHECK(rows[0].vocal);
    CHECK(rows[0].note == "twice, loud");
    CHECK(rows[1].at_utc_ns == utc_from_text("2026-03-02T13:10:30Z"));
    CHECK_FALSE(rows[1].passage_id);
    CHECK_FALSE(rows[1].vocal);
    CHECK(rows[2].auditor == "ben");
}

TEST_CASE("With several shifts a passage's number needs its shift") {
    const TestFolder folder;
    CHECK(read(folder, "shift,passage,vocal\n2,3,vocal\n", 2)[0].shift_id == 2);
    check_refused("passage,vocal\n3,vocal\n", "the store has 2 shifts", 2);
}

TEST_CASE("What can't be is refused with its line") {
    check_refused("passage,vocal\n1,yes\n",
                  "audit.csv:2: column vocal: is \"yes\", expected vocal or silent");
    check_refused("passage,vocal\n1,vocal\n9,vocal\n", "audit.csv:3: passage 9 is not in shift 1");
    check_refused("passage,time,vocal\n,,vocal\n", "either a passage or a time");
    check_refused("passage,time,vocal\n1,2026-03-02 06:10,vocal\n", "either a passage or a time");
    check_refused("time,vocal\n6.10 h,vocal\n", "column time");
    check_refused("passage,vocal,auditor\n1,vocal,anna\n1,silent,anna\n", "stands twice");
    check_refused("passage,vocal\n", "has no rows");
    check_refused("passage,note\n1,x\n", "vocal");
}
