// Cases on the page: the rows that each step makes, the ZIP and what a check of it says.

#include <cmath>

#include "daemon/clips/clip_flac.h"
#include "daemon/records/case_rows.h"
#include "daemon/records/sha256.h"
#include "tests/web/described.h"
#include "tests/web/served_page.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

// Clip 2 is call 2's and a real one.
struct PageWithCase : ServedPage {
    HttpClient client;

    PageWithCase() : client(address) {
        SoundCut cut;
        cut.rate_hz = 16000.0;
        cut.frames = 64000;
        cut.channels = {{16000.0, std::vector<float>(64000)}};
        for (std::size_t i = 0; i < 64000; ++i)
            cut.channels[0].samples[i] = static_cast<float>(0.1 * std::sin(0.1 * static_cast<double>(i)));
        const std::string flac = flac_of(cut, 16, {});
        folder.write("clips/two.flac", flac);
        Store store(folder / "records.db");
        add_clip(store, {.clip_id = 2,
                         .shift_id = shift_id,
                         .call_id = 2,
                         .end_s = 4.0,
                         .file = "clips/two.flac",
                         .sha256 = sha256_hex(flac)});
        log_in("manager");
    }
    void log_in(const std::string& name) { REQUIRE(client.log_in(name, kPassword).status == 200); }
    Reply post(const std::string& path, const Json& body) { return client.post("/api/v1" + path, body); }
    Json get(const std::string& path) { return client.get("/api/v1" + path).json(); }
    std::int64_t open(const Json& more = Json::object()) {
        Json body = {{"reference", "C-7"}, {"asked_by", "a neighbour"}, {"note", "cries"}};
        body.update(more);
        const Reply reply = post("/cases", body);
        INFO(reply.body);
        REQUIRE(reply.status == 201);
        return reply.json()["case_id"];
    }
    Json gather(const Json& body) {
        const Reply reply = post("/cases/1/gather", body);
        INFO(reply.body);
        REQUIRE(reply.status == 200);
        return reply.json();
    }
    Json made(std::int64_t id) {
        const std::string path = "/exports/" + std::to_string(id);
        REQUIRE(wait_until([&] {
            const std::string state = get(path)["state"];
            return state == "done" || state == "failed";
        }));
        return get(path);
    }
};

const Json kCall2 = {{"shift_id", 1}, {"call_ids", {2}}};

} // namespace

TEST_CASE("A case from its opening to its closing on the page is the rows that the command makes") {
    PageWithCase page;
    REQUIRE(page.open() == 1);
    CHECK(page.gather(kCall2) == Json{{"passages", 1}, {"calls", 1}, {"clips", 1}});
    CHECK(page.gather(kCall2) == Json{{"passages", 0}, {"calls", 0}, {"clips", 0}});
    CHECK(page.gather({{"shift_id", 1}, {"passage_ids", {1, 2}}})["passages"] == 2);
    CHECK(page.post("/cases/1/drop", {{"shift_id", 1}, {"passage_ids", {1}}, {"why", "not asked for"}})
              .json()["dropped"] == 1);
    CHECK(page.post("/cases/1/steps", {{"step", "note"}, {"text", "asked the lead"}}).status == 201);
    CHECK(page.post("/cases/1/steps", {{"step", "decision"}, {"text", "set lower"}}).status == 201);
    CHECK(page.post("/cases/1/steps", {{"step", "closed"}}).json()["held"] == 1);
    CHECK(page.get("/cases")["cases"].empty());
    CHECK(page.get("/cases?all=1")["cases"].size() == 1);
    const Json shown = page.get("/cases/1");
    CHECK(shown["state"] == "closed");
    CHECK(shown["decision"] == "set lower");
    CHECK(shown["passage_list"].size() == 2);
    CHECK(shown["call_list"] == Json::array({{{"shift_id", 1}, {"call_id", 2}}}));
    REQUIRE(shown["clip_list"].size() == 1);
    CHECK(shown["clip_list"][0]["held"] == true);
    CHECK(page.post("/cases/1/hold", {{"held", false}}).json()["changed"] == 1);
    CHECK(page.get("/cases/1")["held"] == 0);
    const Store store(page.folder / "records.db");
    store.read([](SQLite::Database& database) {
        const auto file = read_case(database, 1);
        REQUIRE(file);
        CHECK(file->by == "manager");
        REQUIRE(file->events.size() == 9);
        CHECK(file->events.back().event == "closed");
        CHECK(file->events.back().by == "manager");
    });
}

TEST_CASE("What a case doesn't allow is refused, and nothing of it is written") {
    PageWithCase page;
    page.open();
    CHECK(page.post("/cases/1/gather", Json::object()).status == 422); // all of the store is no case
    CHECK(page.post("/cases/1/gather", {{"call_ids", {2}}}).status == 422);
    CHECK(page.post("/cases/1/gather", {{"shift_id", 1}, {"passage_ids", {1, 99}}}).status == 422);
    CHECK(page.post("/cases/1/gather", {{"clip_ids", {12}}}).status == 422);
    CHECK(page.post("/cases/9/gather", kCall2).status == 404);
    CHECK(page.post("/cases/1/drop", {{"clip_ids", {2}}, {"why", "x"}}).status == 422);
    CHECK(page.post("/cases/1/steps", {{"step", "reopened"}}).status == 409);
    CHECK(page.post("/cases/1/steps", {{"step", "note"}, {"text", " "}}).status == 422);
    CHECK(page.post("/cases/1/export", Json::object()).status == 409); // empty
    CHECK(page.get("/cases/1")["events"].empty());
    REQUIRE(page.post("/cases/1/steps", {{"step", "closed"}}).status == 201);
    const Reply late = page.post("/cases/1/gather", kCall2);
    CHECK(late.status == 409);
    CHECK(late.json()["error"]["what"].get<std::string>().find("closed") != std::string::npos);
    CHECK(page.post("/cases", {{"reference", " "}, {"asked_by", "x"}}).status == 422);
    page.log_in("reviewer");
    CHECK(page.get("/cases/1")["case_id"] == 1);
    CHECK(page.post("/cases", {{"reference", "C-8"}, {"asked_by", "x"}}).status == 403);
    CHECK(page.client.get("/api/v1/exports").status == 403);
}

TEST_CASE("A case is exported beside other work, fetched whole or in part, and verified; all of it is told") {
    PageWithCase page;
    page.open({{"from", "2026-03-08T05:00:00Z"}, {"to", "2026-03-08T06:00:00Z"}});
    page.gather(kCall2);
    const Reply asked = page.post("/cases/1/export", Json::object());
    REQUIRE(asked.status == 202);
    const Json job = page.made(asked.json()["export_id"]);
    INFO(job.dump());
    REQUIRE(job["state"] == "done");
    CHECK(job["masked"] == true);
    const Reply whole = page.client.get("/api/v1/exports/1/file");
    REQUIRE(whole.status == 200);
    CHECK(whole.headers.at("content-disposition") == "attachment; filename=\"case-1-export-1.zip\"");
    CHECK(sha256_hex(whole.body) == job["sha256"]);
    CHECK(whole.body.size() == job["bytes"]);
    const Reply part = page.client.get("/api/v1/exports/1/file", {"Range: bytes=100-199"});
    CHECK(part.status == 206);
    CHECK(part.body == whole.body.substr(100, 100));
    CHECK(page.client.get("/api/v1/exports/1/file", {"Range: bytes=999999999-"}).status == 416);
    const Json verified = page.post("/exports/1/verify", Json::object()).json();
    CHECK(verified["fits"] == true);
    CHECK(verified["words"][0] == "case-1-export-1.zip");
    CHECK(page.get("/cases/1")["exports"] == 1);
    const auto told = page.accesses();
    CHECK(std::count(told.begin(), told.end(), "manager export case 1") == 1);
    CHECK(std::count(told.begin(), told.end(), "manager download case-1-export-1.zip") == 1);

    std::string altered = whole.body;
    altered[altered.size() / 2] = static_cast<char>(altered[altered.size() / 2] ^ 1);
    page.folder.write("exports/case-1-export-1.zip", altered);
    CHECK(page.post("/exports/1/verify", Json::object()).json()["fits"] == false);
}

TEST_CASE("Clips leave unmasked only by an administrator with a reason") {
    PageWithCase page;
    page.open();
    page.gather(kCall2);
    CHECK(page.post("/cases/1/export", {{"masked", false}, {"reason", "a court"}}).status == 403);
    page.log_in("administrator");
    CHECK(page.post("/cases/1/export", {{"masked", false}}).status == 422);
    const Reply asked = page.post("/cases/1/export", {{"masked", false}, {"reason", "a court"}});
    REQUIRE(asked.status == 202);
    CHECK(page.made(asked.json()["export_id"])["state"] == "done");
    const auto told = page.accesses();
    CHECK(std::count(told.begin(), told.end(), "administrator unmasked_export case 1") == 1);
}

TEST_CASE("An export that fails says why, and one of an earlier run is still there to fetch") {
    PageWithCase page;
    page.open();
    page.gather({{"shift_id", 1}, {"call_ids", {1}}}); // its clip's file isn't what its record says
    const Json failed = page.made(page.post("/cases/1/export", Json::object()).json()["export_id"]);
    CHECK(failed["state"] == "failed");
    CHECK_FALSE(failed["failed_because"].get<std::string>().empty());
    CHECK(page.client.get("/api/v1/exports/1/file").status == 409);
    REQUIRE(page.post("/cases/1/drop", {{"clip_ids", {1}}, {"why", "not whole"}}).status == 200);
    REQUIRE(page.made(page.post("/cases/1/export", Json::object()).json()["export_id"])["state"] == "done");
    page.page.reset();
    page.feed.reset();
    page.book.reset();
    page.writer.reset();
    page.serve();
    HttpClient again(page.address);
    REQUIRE(again.log_in("manager", kPassword).status == 200);
    const Json list = again.get("/api/v1/exports?case=1").json()["exports"];
    REQUIRE(list.size() == 1);
    CHECK(list[0]["export_id"] == 2);
    CHECK(list[0]["state"] == "done");
    CHECK(again.get("/api/v1/exports/2/file").status == 200);
}

TEST_CASE("Routes of cases and exports answer as openapi.json describes") {
    PageWithCase page;
    const Described api(page.client);
    api.post("/cases", "/cases", {{"reference", "C-7"}, {"asked_by", "x"}, {"from", "2026-03-08T05:00:00Z"}});
    api.post("/cases", "/cases", {{"reference", 7}});
    api.post("/cases/{case}/gather", "/cases/1/gather", {{"shift_id", 1}});
    api.post("/cases/{case}/gather", "/cases/1/gather", {{"from", "yesterday"}});
    api.post("/cases/{case}/gather", "/cases/9/gather", kCall2);
    api.post("/cases/{case}/drop", "/cases/1/drop", {{"clip_ids", {1}}, {"why", "not whole"}});
    api.post("/cases/{case}/hold", "/cases/1/hold", {{"held", true}, {"clip_ids", {2}}});
    api.post("/cases/{case}/hold", "/cases/1/hold", {{"held", "yes"}});
    api.post("/cases/{case}/steps", "/cases/1/steps", {{"step", "decision"}, {"text", "set lower"}});
    api.post("/cases/{case}/steps", "/cases/1/steps", {{"step", "reopened"}});
    api.get("/cases", "/cases?all=1");
    api.get("/cases", "/cases?all=x");
    api.get("/cases/{case}", "/cases/1");
    api.get("/cases/{case}", "/cases/2");
    const Json job = api.post("/cases/{case}/export", "/cases/1/export");
    api.post("/cases/{case}/export", "/cases/1/export", {{"masked", 1}});
    page.made(job["export_id"]);
    api.get("/exports", "/exports?case=1");
    api.get("/exports/{export}", "/exports/1");
    api.get("/exports/{export}", "/exports/7");
    api.get("/exports/{export}/file", "/exports/1/file");
    api.get("/exports/{export}/file", "/exports/7/file");
    api.post("/exports/{export}/verify", "/exports/1/verify");
    api.post("/exports/{export}/verify", "/exports/7/verify");
}
