// Changes, lots and notes by the page: entered, listed, withdrawn and compared as by the commands.

#include "tests/web/manager.h"

using namespace quietpass;
using namespace quietpass::test;
using Json = nlohmann::json;

namespace {

std::vector<std::string> texts_of(const Json& list) {
    std::vector<std::string> texts;
    for (const Json& one : list) texts.push_back(one["text"]);
    return texts;
}

} // namespace

TEST_CASE("A change entered on the page is the row that the command makes, and is told in accesses") {
    Manager at;
    const Json entered = at.api.post(
        "/changes", "/changes",
        {{"what", "light over the entrance"}, {"station_part", "light"}, {"at", "2026-03-10 06:00"}});
    CHECK(entered["at"] == "2026-03-10T12:00:00.000Z"); // the station's time, Denver's
    CHECK(entered["entered_by"] == "manager");
    const std::vector<JournalEntry> journal = at.journal();
    REQUIRE(journal.size() == 1);
    CHECK(journal[0].kind == EntryKind::kChange);
    CHECK(journal[0].text == "light over the entrance");
    CHECK(journal[0].station_part == "light");
    CHECK(journal[0].by == "manager");
    CHECK(journal[0].id == entered["entry_id"]);
    CHECK(at.page.accesses().back() == "manager enter change " + entered["entry_id"].dump());
    const Json list = at.api.get("/changes", "/changes")["changes"];
    REQUIRE(list.size() == 1);
    CHECK(list[0] == entered);
}

TEST_CASE("A change that was withdrawn is in no list, its row stays, and a second time there is none") {
    Manager at;
    const std::string id = at.api.post("/changes", "/changes", {{"what", "a floor"}})["entry_id"].dump();
    const std::string path = "/changes/" + id + "/withdraw";
    CHECK(at.client.post("/api/v1/notes/" + id + "/withdraw").status == 404); // it is no note
    CHECK(at.api.post("/changes/{change}/withdraw", path)["withdrawn"].dump() == id);
    CHECK(at.page.accesses().back() == "manager withdraw change " + id);
    CHECK(at.api.get("/changes", "/changes")["changes"].empty());
    CHECK(at.journal().size() == 2);
    CHECK(at.client.post("/api/v1" + path).status == 404);
    at.api.post("/changes/{change}/withdraw", path);
    at.api.get("/changes/{change}/comparison", "/changes/" + id + "/comparison");
}

TEST_CASE("What can't be a change is refused, and nothing is entered") {
    Manager at;
    for (const Json& wrong :
         {Json{{"what", " "}}, Json{{"station_part", "light"}}, Json{{"what", "a"}, {"at", "yesterday"}},
          Json{{"what", "a"}, {"text", "b"}}, Json{{"what", std::string(2001, 'a')}}, Json{{"what", 7}},
          Json{{"what", "a"}, {"at", "9999-01-01T00:00:00Z"}}}) {
        INFO(wrong.dump());
        at.api.post("/changes", "/changes", wrong);
        CHECK(at.client.post("/api/v1/changes", wrong).status == 422);
    }
    CHECK(at.journal().empty());
    CHECK(at.page.accesses().back() == "manager login page"); // and nothing else
}

TEST_CASE("A reviewer reads the journal and enters nothing") {
    Manager at;
    at.api.post("/changes", "/changes", {{"what", "a floor"}});
    HttpClient client(at.page.address);
    REQUIRE(client.log_in("reviewer", kPassword).status == 200);
    const Described api(client);
    CHECK(api.get("/changes", "/changes")["changes"].size() == 1);
    api.post("/changes", "/changes", {{"what", "a ceiling"}});
    api.post("/changes/{change}/withdraw", "/changes/1/withdraw");
    CHECK(client.post("/api/v1/changes", {{"what", "a ceiling"}}).status == 403);
    CHECK(client.post("/api/v1/changes/1/withdraw").status == 403);
    CHECK(at.journal().size() == 1);
}

TEST_CASE("The journal's lists come latest first and page by page, by moment and not by entering") {
    Manager at;
    for (const auto& [what, when] :
         {std::pair{"b", "2026-03-11T06:00:00Z"}, std::pair{"a", "2026-03-10T06:00:00Z"},
          std::pair{"c", "2026-03-12T06:00:00Z"}, std::pair{"b too", "2026-03-11T06:00:00Z"}}) {
        at.api.post("/changes", "/changes", {{"what", what}, {"at", when}});
    }
    const auto page = [&](const std::string& query) {
        return at.api.get("/changes", "/changes?" + query)["changes"];
    };
    CHECK(texts_of(page("")) == std::vector<std::string>{"c", "b too", "b", "a"});
    const Json first = page("most=2");
    CHECK(texts_of(first) == std::vector<std::string>{"c", "b too"});
    const std::string last = first[1]["entry_id"].dump();
    CHECK(texts_of(page("most=2&before=" + last)) == std::vector<std::string>{"b", "a"});
    at.api.post("/changes/{change}/withdraw", "/changes/" + last + "/withdraw");
    CHECK(texts_of(page("before=" + last)) == std::vector<std::string>{"b", "a"});
    CHECK(page("before=77").empty());
    CHECK(texts_of(page("from=2026-03-11T06:00:00Z&to=2026-03-12T06:00:00Z")) ==
          std::vector<std::string>{"b"});
    at.api.get("/changes", "/changes?most=0");
}

TEST_CASE("Before and after a change are compared as the command compares them, with its words") {
    Manager at;
    MadeStore made(at.page.folder / "records.db");
    made.shift("2026-03-10T05:00:00Z");
    made.add_share(20, 200);
    made.add(3, {.excluded = "overrun"});
    made.close();
    made.shift("2026-03-12T05:00:00Z");
    made.add_share(4, 200);
    made.close();
    at.api.post("/changes", "/changes", {{"what", "a floor"}, {"at", "2026-03-11T00:00:00Z"}});
    at.api.post("/changes", "/changes", {{"what", "a lamp"}, {"at", "2026-03-12T06:00:00Z"}});
    const std::string route = "/changes/{change}/comparison";
    const Json days = at.api.get(route, "/changes/1/comparison?group=100&before=36h&after=2d");
    CHECK(days["before_passages"] == 200);
    CHECK(days["before_vocal"] == 20);
    CHECK(days["after_passages"] == 200);
    CHECK(days["after_vocal"] == 4);
    CHECK(days["difference_points"] == -8.0);
    CHECK(days["shown"] == true);
    REQUIRE(days["run_chart"].size() == 4);
    CHECK(days["run_chart"][3]["side"] == "after");
    CHECK(days["run_chart"][0]["passages"] == 100);
    CHECK(days["coverage"]["before"] ==
          Json{{"passages", 203}, {"scored", 200}, {"excluded", {{"overrun", 3}}}});
    CHECK(days["coverage"]["after"]["passages"] == 200);
    const std::string words = days["words"].dump();
    CHECK(words.find("A lamp") == std::string::npos);
    CHECK(words.find("a lamp") != std::string::npos); // another change within the window
    const Json counted = at.api.get(route, "/changes/1/comparison?before=50&after=70");
    CHECK(counted["before_passages"] == 50);
    CHECK(counted["after_passages"] == 70);
    CHECK(counted["coverage"]["before"]["passages"] == 53); // those left out came after the first of the 50
    CHECK(counted["coverage"]["after"]["passages"] == 70);
    const Json moments =
        at.api.get(route, "/changes/1/comparison?before=2026-03-10T05:00:00Z,2026-03-10T05:30:15Z&after=1m");
    CHECK(moments["before_passages"] == 60); // one each 30 s from 05:00:30 on
    CHECK(moments["after_passages"] == 0);
    CHECK(moments["difference_points"].is_null());
    at.api.get(route, "/changes/1/comparison?before=a%20while");
    at.api.get(route, "/changes/1/comparison?level=2");
    at.api.get(route, "/changes/9/comparison");
    CHECK(at.client.get("/api/v1/changes/9/comparison").status == 404);
}
