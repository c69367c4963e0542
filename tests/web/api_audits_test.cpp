// A hand audit scored on a tablet: animal by animal, through reloads and lost connections, to kappa.

#include "daemon/records/people_rows.h"
#include "tests/web/manager.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

// The page's store has shift 1: passages 1 to 3 silent, 4 and 5 vocal.
struct Auditor {
    ServedPage page;
    HttpClient client{page.address};
    Described api{client};

    Auditor() {
        REQUIRE(page.writer->flush(std::chrono::seconds(10)));
        REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    }
    std::string begin(const std::string& id = "audit-0001") const {
        return api.post("/handaudits", "/handaudits", {{"id", id}})["audit_id"].dump();
    }
    Json score(const std::string& audit, const std::string& id, std::int64_t passage, bool vocal) const {
        return api.post("/handaudits/{audit}/scores", "/handaudits/" + audit + "/scores",
                        {{"id", id}, {"shift_id", 1}, {"passage_id", passage}, {"vocal", vocal}});
    }
    Json audit(const std::string& id) const { return api.get("/handaudits/{audit}", "/handaudits/" + id); }
    Json finish(const std::string& id) const {
        return api.post("/handaudits/{audit}/finish", "/handaudits/" + id + "/finish");
    }
    std::vector<HandAudit> handed_in() const { return Store(page.folder / "records.db").hand_audits(); }
};

} // namespace

TEST_CASE(
    "Animals are scored one after the other, handed in as a hand audit, and compared as the command does") {
    Auditor at;
    const std::string audit = at.begin();
    at.score(audit, "score-0001", 1, false);
    at.score(audit, "score-0002", 2, false);
    at.score(audit, "score-0003", 3, true);
    at.score(audit, "score-0004", 4, true);
    at.score(audit, "score-0005", 5, true);
    const std::string comparison = "/handaudits/" + audit + "/comparison";
    at.api.get("/handaudits/{audit}/comparison", comparison);
    CHECK(at.client.get("/api/v1" + comparison).status == 409); // who sees the machine's can't score by ear
    const Json done = at.finish(audit);
    CHECK(done["state"] == "finished");
    CHECK(done["animals"] == 5);
    CHECK(done["vocal"] == 3);
    const auto audits = at.handed_in();
    REQUIRE(audits.size() == 1);
    CHECK(std::to_string(audits[0].id) == audit);
    CHECK(audits[0].rows[2].auditor == "reviewer");
    CHECK(audits[0].rows[2].passage_id == 3);
    CHECK(audits[0].sha256.size() == 64);
    const Json compared = at.api.get("/handaudits/{audit}/comparison", comparison);
    CHECK(compared["compared"] == 5);
    CHECK(compared["vocal_to_both"] == 2);
    CHECK(compared["vocal_to_person_only"] == 1);
    CHECK(compared["silent_to_both"] == 2);
    const auto value = [&compared](const std::string& measure) {
        for (const Json& row : compared["figures"]) {
            if (row["measure"] == measure) return row["value"].get<double>();
        }
        return -9.0;
    };
    CHECK(value("agreement") == Approx(0.8));
    CHECK(value("kappa") == Approx(0.6154).margin(1e-4)); // (0.8 − 0.48) / (1 − 0.48)
    REQUIRE(compared["differences"].size() == 1);
    CHECK(compared["differences"][0]["passage_id"] == 3);
    CHECK_FALSE(compared["words"].empty());
    at.api.get("/handaudits/{audit}/comparison", comparison + "?entry_within=0");
}

TEST_CASE("What is sent twice counts once: beginning, scoring, finishing") {
    Auditor at;
    const std::string audit = at.begin();
    CHECK(at.begin() == audit);
    const Json once = at.score(audit, "score-0001", 4, true);
    CHECK(at.score(audit, "score-0001", 4, true) == once);
    CHECK(at.audit(audit)["scores"].size() == 1);
    at.finish(audit);
    CHECK(at.score(audit, "score-0001", 4, true) == once); // it was sent before the end, and heard
    at.finish(audit);
    CHECK(at.handed_in().size() == 1);
    CHECK(at.handed_in()[0].rows.size() == 1);
    const std::vector<std::string> accesses = at.page.accesses();
    CHECK(std::count(accesses.begin(), accesses.end(), "reviewer enter hand audit " + audit) == 3);
}

TEST_CASE("An id that was another score's is refused, and so is a score after the end") {
    Auditor at;
    const std::string audit = at.begin();
    at.score(audit, "score-0001", 4, true);
    const std::string path = "/api/v1/handaudits/" + audit + "/scores";
    const Json other = {{"id", "score-0001"}, {"shift_id", 1}, {"passage_id", 4}, {"vocal", false}};
    CHECK(at.client.post(path, other).status == 409);
    at.finish(audit);
    at.score(audit, "score-0002", 5, true);
    CHECK(at.audit(audit)["animals"] == 1);
}

TEST_CASE("A started audit goes on where it was after a reload and another login, with its scores") {
    Auditor at;
    const std::string audit = at.begin();
    at.score(audit, "score-0001", 4, true);
    at.score(audit, "score-0002", 5, false);
    HttpClient again(at.page.address);
    REQUIRE(again.log_in("reviewer", kPassword).status == 200);
    const Described api(again);
    const Json list = api.get("/handaudits", "/handaudits")["audits"];
    REQUIRE(list.size() == 1);
    CHECK(list[0]["state"] == "open");
    const Json found = api.get("/handaudits/{audit}", "/handaudits/" + audit);
    REQUIRE(found["scores"].size() == 2);
    CHECK(found["scores"][1]["score_id"] == "score-0002");
    CHECK(found["scores"][1]["vocal"] == false);
    api.post("/handaudits/{audit}/scores", "/handaudits/" + audit + "/scores",
             {{"id", "score-0003"}, {"at", "2026-03-08T05:03:00Z"}, {"vocal", true}});
    CHECK(at.audit(audit)["animals"] == 3);
}

TEST_CASE("The later of two scores of one animal counts, and the earlier again when that is taken back") {
    Auditor at;
    const std::string audit = at.begin();
    at.score(audit, "score-0001", 4, false);
    at.score(audit, "score-0002", 4, true);
    CHECK(at.audit(audit)["scores"].size() == 1);
    CHECK(at.audit(audit)["vocal"] == 1);
    const std::string route = "/handaudits/{audit}/scores/{score}/withdraw";
    const std::string path = "/handaudits/" + audit + "/scores/score-0002/withdraw";
    at.api.post(route, path);
    at.api.post(route, path);
    CHECK(at.audit(audit)["scores"].size() == 1);
    CHECK(at.audit(audit)["vocal"] == 0);
    at.api.post(route, "/handaudits/" + audit + "/scores/score-0009/withdraw");
    CHECK(at.client.post("/api/v1/handaudits/" + audit + "/scores/score-0009/withdraw").status == 404);
}

TEST_CASE("Only who began an audit scores in it; a wall screen sees none") {
    Auditor at;
    const std::string audit = at.begin();
    HttpClient other(at.page.address);
    REQUIRE(other.log_in("manager", kPassword).status == 200);
    const Described api(other);
    const Json score = {{"id", "score-0001"}, {"shift_id", 1}, {"passage_id", 4}, {"vocal", true}};
    api.post("/handaudits/{audit}/scores", "/handaudits/" + audit + "/scores", score);
    CHECK(other.post("/api/v1/handaudits/" + audit + "/scores", score).status == 403);
    CHECK(other.post("/api/v1/handaudits/" + audit + "/finish").status == 403);
    HttpClient wall(at.page.address);
    REQUIRE(wall.log_in("wall", kPassword).status == 200);
    CHECK(wall.get("/api/v1/handaudits").status == 403);
    CHECK(wall.post("/api/v1/handaudits", {{"id", "audit-0002"}}).status == 403);
    CHECK(at.audit(audit)["animals"] == 0);
}

TEST_CASE("An audit that goes on is given up, one that was handed in is withdrawn, and rows stay") {
    Auditor at;
    const std::string route = "/handaudits/{audit}/withdraw";
    const std::string given_up = at.begin("audit-0001");
    at.score(given_up, "score-0001", 4, true);
    at.api.post(route, "/handaudits/" + given_up + "/withdraw");
    const std::string done = at.begin("audit-0002");
    CHECK(done != given_up);
    at.score(done, "score-0002", 4, true);
    at.finish(done);
    at.api.post(route, "/handaudits/" + done + "/withdraw");
    CHECK(at.api.get("/handaudits", "/handaudits")["audits"].empty());
    CHECK(at.client.get("/api/v1/handaudits/" + done).status == 404);
    CHECK(at.client.post("/api/v1/handaudits/" + done + "/withdraw").status == 404);
    CHECK(at.client.post("/api/v1/handaudits/" + given_up + "/withdraw").status == 404);
    CHECK(at.client.post("/api/v1/handaudits/" + given_up + "/finish").status == 409);
    CHECK(at.client.post("/api/v1/handaudits/" + done + "/finish").status == 409);
    at.api.get("/handaudits/{audit}/comparison", "/handaudits/" + done + "/comparison");
    CHECK(at.handed_in().size() == 2); // the audit and its withdrawal
    at.audit(done);
    at.finish(done);
}

TEST_CASE("What is no score is refused, and an audit without one can't be handed in") {
    Auditor at;
    const std::string audit = at.begin();
    at.finish(audit);
    CHECK(at.client.post("/api/v1/handaudits/" + audit + "/finish").status == 409);
    const std::string path = "/handaudits/" + audit + "/scores";
    for (const Json& wrong :
         {Json{{"id", "short"}, {"vocal", true}, {"shift_id", 1}, {"passage_id", 4}},
          Json{{"id", "score/0001"}, {"vocal", true}, {"shift_id", 1}, {"passage_id", 4}},
          Json{{"id", "score-0001"}, {"vocal", 1}, {"shift_id", 1}, {"passage_id", 4}},
          Json{{"id", "score-0001"}, {"vocal", true}, {"passage_id", 4}},
          Json{{"id", "score-0001"}, {"vocal", true}, {"shift_id", 99}, {"passage_id", 4}},
          Json{{"id", "score-0001"}, {"vocal", true}, {"shift_id", 1}, {"passage_id", -4}},
          Json{{"id", "score-0001"}, {"vocal", true}},
          Json{{"id", "score-0001"}, {"vocal", true}, {"at", "noon"}},
          Json{{"id", "score-0001"},
               {"vocal", true},
               {"shift_id", 1},
               {"passage_id", 4},
               {"at", "2026-03-08T05:00:00Z"}},
          Json{{"vocal", true}, {"shift_id", 1}, {"passage_id", 4}}}) {
        INFO(wrong.dump());
        at.api.post("/handaudits/{audit}/scores", path, wrong);
        CHECK(at.client.post("/api/v1" + path, wrong).status == 422);
    }
    CHECK(at.audit(audit)["animals"] == 0);
    at.api.post("/handaudits", "/handaudits", {{"id", "x"}});
    at.api.post("/handaudits/{audit}/scores", "/handaudits/77/scores",
                {{"id", "score-0001"}, {"vocal", true}, {"shift_id", 1}, {"passage_id", 4}});
}

TEST_CASE("The sample form is the command's: so many covered passages in a row and what the limit says") {
    Auditor at;
    at.api.get("/handaudits/sample", "/handaudits/sample");
    const Json five = at.api.get("/handaudits/sample", "/handaudits/sample?of=5");
    REQUIRE(five["samples"].size() == 1);
    CHECK(five["samples"][0]["vocal"] == 2);
    CHECK(five["samples"][0]["passages"] == 5);
    CHECK(five["samples"][0]["verdict"] == "over");
    CHECK(five["samples"][0]["vocal_held"] == 2);
    CHECK(five["basis"] == "test guide, first edition");
    CHECK(five["coverage"]["scored"] == 5);
    const Json twos = at.api.get("/handaudits/sample", "/handaudits/sample?of=2&all=1&shift=1");
    CHECK(twos["samples"].size() == 2);
    const Json ended =
        at.api.get("/handaudits/sample", "/handaudits/sample?of=5&sequential_low=1&sequential_high=10");
    CHECK(ended["words"].dump().find("sequential audit") != std::string::npos);
    at.api.get("/handaudits/sample", "/handaudits/sample?sequential_low=1");
    at.api.get("/handaudits/sample", "/handaudits/sample?of=0");
}
