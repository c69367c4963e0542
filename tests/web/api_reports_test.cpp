// Reports on the page: the bytes of the command's, as a download.

#include "daemon/reports/pdf/report_bytes.h"
#include "tests/web/described.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;

TEST_CASE("A report on the page has the bytes of the command's in each format, and is told") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("manager", kPassword).status == 200);
    const Store store(page.folder / "records.db");
    const ReportSpan shift{SpanKind::kShift, "", page.shift_id, {}, {}};
    for (const ReportFormat format : {ReportFormat::kPdf, ReportFormat::kCsv, ReportFormat::kJson}) {
        const std::string word(name_of(format));
        const Reply reply = client.get("/api/v1/reports?shift=1&paper=letter&format=" + word);
        INFO(word);
        REQUIRE(reply.status == 200);
        CHECK(reply.body == report_bytes(store, shift, format, Paper::kLetter));
        CHECK(reply.headers.at("content-disposition") ==
              "attachment; filename=\"quietpass-report-shift-1." + word + "\"");
    }
    CHECK(client.get("/api/v1/reports?format=csv").body ==
          report_bytes(store, shift, ReportFormat::kCsv, Paper::kA4)); // the latest closed shift
    const auto told = page.accesses();
    CHECK(std::count(told.begin(), told.end(), "manager report quietpass-report-shift-1.pdf") == 1);
    CHECK(std::count(told.begin(), told.end(), "manager report quietpass-report-shift-1.csv") == 2);
    const Reply month = client.get("/api/v1/reports?month=2026-03&format=json");
    REQUIRE(month.status == 200);
    CHECK(month.json()["report"] == "month");
}

TEST_CASE("Reports are answered as openapi.json describes, also where there is none to give") {
    ServedPage page;
    HttpClient client(page.address);
    REQUIRE(client.log_in("manager", kPassword).status == 200);
    const Described api(client);
    api.get("/reports", "/reports?shift=1");
    api.get("/reports", "/reports?shift=1&format=csv");
    api.get("/reports", "/reports?from=2026-03-08T00:00:00Z&to=2026-03-09T00:00:00Z&format=json");
    for (const char* wrong : {"shift=1&month=2026-03", "from=2026-03-08T00:00:00Z", "format=doc", "paper=a3",
                              "from=2026-03-08T00:00:00Z&to=2027-03-08T00:00:00Z", "shift=x"}) {
        INFO(wrong);
        CHECK(client.get(std::string("/api/v1/reports?") + wrong).status == 400);
        api.get("/reports", std::string("/reports?") + wrong);
    }
    for (const char* none : {"shift=99", "week=2020-W10", "month=spring"}) {
        INFO(none);
        CHECK(client.get(std::string("/api/v1/reports?") + none).status == 422);
        api.get("/reports", std::string("/reports?") + none);
    }
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    CHECK(client.get("/api/v1/reports?shift=1").status == 403);
}
