#include "daemon/contacts/contacts_csv.h"

#include <rapidcheck/catch.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <sstream>

#include "daemon/failure.h"
#include "tests/contacts/test_station.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

constexpr auto kEdge = ContactNews::What::kEdge;

StationSettings station() {
    StationSettings settings = station_with({Role::kEntered, Role::kStunned, Role::kProdded});
    settings.contacts[1].name = "bolt";
    ContactSettings second_prod;
    second_prod.role = Role::kProdded;
    second_prod.name = "right prod";
    settings.contacts.push_back(second_prod);
    return settings;
}

std::vector<ContactChange> read(const std::string& text) {
    const TestFolder folder;
    return read_contacts_csv(folder.write("c.csv", text), station());
}

struct Mistake {
    std::string text;
    const char* message;
};

std::string failure_of(const std::string& text) {
    const TestFolder folder;
    const std::string path = folder.write("c.csv", text);
    try {
        read_contacts_csv(path, station());
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitFailure);
        REQUIRE(std::string(failure.what()).starts_with(path));
        return "c.csv" + std::string(failure.what()).substr(path.size());
    }
    return "no failure";
}

std::string file_text(const std::string& path) {
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    return text.str();
}

} // namespace

TEST_CASE("contacts.csv is read by name and by role", "[contacts]") {
    const auto changes = read(
        "time_s,input,state\n-0.5,entered,1\n1.25,bolt,1\n1.25,stunned,0\n2,prodded,1\n3e0,right prod,1\n");
    REQUIRE(changes.size() == 5);
    CHECK(changes[0].time_s == -0.5);
    CHECK(changes[0].contact == 0);
    CHECK(changes[0].closed);
    CHECK(changes[1].contact == 1);
    CHECK(changes[2].contact == 1);
    CHECK_FALSE(changes[2].closed);
    CHECK(changes[3].contact == 2);
    CHECK(changes[4].contact == 3);
}

TEST_CASE("contacts.csv of another system's making is read too", "[contacts]") {
    CHECK(read("\xEF\xBB\xBFtime_s, input, state\r\n\r\n 1.0 , entered , 1 \r\n\n").size() == 1);
    CHECK(read("time_s,input,state\n1.0,entered,1").size() == 1);
    CHECK(read("time_s,input,state\n").empty());
}

TEST_CASE("each mistake in contacts.csv is named with its line", "[contacts]") {
    const std::string head = "time_s,input,state\n1.0,entered,1\n";
    const Mistake mistakes[] = {
        {"", "c.csv: is empty; expected the header time_s,input,state"},
        {"\n\n", "c.csv: is empty; expected the header time_s,input,state"},
        {"1.0,entered,1\n", "c.csv:1: expected the header time_s,input,state, found '1.0,entered,1'"},
        {"time,input,state\n", "c.csv:1: expected the header time_s,input,state, found 'time,input,state'"},
        {head + "1.5,entered\n", "c.csv:3: expected three fields (time_s,input,state), found 2"},
        {head + "1.5,entered,1,1\n", "c.csv:3: expected three fields (time_s,input,state), found 4"},
        {head + ",entered,0\n", "c.csv:3: time_s: expected a number of seconds, found ''"},
        {head + "soon,entered,0\n", "c.csv:3: time_s: expected a number of seconds, found 'soon'"},
        {head + "1.5s,entered,0\n", "c.csv:3: time_s: expected a number of seconds, found '1.5s'"},
        {head + "nan,entered,0\n", "c.csv:3: time_s: expected a number of seconds, found 'nan'"},
        {head + "inf,entered,0\n", "c.csv:3: time_s: expected a number of seconds, found 'inf'"},
        {head + "1e999,entered,0\n", "c.csv:3: time_s: expected a number of seconds, found '1e999'"},
        {head + "\n0.5,entered,0\n",
         "c.csv:4: time_s: 0.500 comes after 1.000; lines must be in order of time"},
        {head + "1.5,enterd,0\n",
         "c.csv:3: input: 'enterd' is no contact of station box-2; it has: entered, bolt, prodded, right "
         "prod"},
        {head + "1.5,released,0\n",
         "c.csv:3: input: 'released' is no contact of station box-2; it has: entered, bolt, prodded, right "
         "prod"},
        {head + "1.5,entered,closed\n",
         "c.csv:3: state: expected 1 (closed), 0 (open), lost or back, found 'closed'"},
        {head + "1.5,entered,2\n", "c.csv:3: state: expected 1 (closed), 0 (open), lost or back, found '2'"},
    };
    for (const Mistake& mistake : mistakes) {
        INFO(mistake.text);
        CHECK(failure_of(mistake.text) == mistake.message);
    }
}

TEST_CASE("contacts.csv tells when a contact was not known", "[contacts]") {
    const StationSettings settings = station();
    const auto history = contact_history_of(
        read("time_s,input,state\n1,entered,1\n2,entered,lost\n3,bolt,1\n4,entered,back\n4,entered,0\n"
             "5,bolt,0\n6,right prod,lost\n"),
        settings);
    REQUIRE(history.edges.size() == 4);
    CHECK(history.edges[2].edge.time_s == 4.0);
    CHECK_FALSE(history.edges[2].edge.closed);
    REQUIRE(history.outages.size() == 2);
    CHECK(history.outages[0].contact == 0);
    CHECK(history.outages[0].start_s == 2.0);
    CHECK(history.outages[0].end_s == 4.0);
    CHECK(history.outages[1].contact == 3);
    CHECK(std::isinf(history.outages[1].end_s));
}

TEST_CASE("a level that stays the same over an outage gives no edge", "[contacts]") {
    const auto changes =
        read("time_s,input,state\n1,entered,1\n2,entered,lost\n3,entered,back\n9,entered,0\n");
    CHECK(edges_of(changes, station()).size() == 2);
}

TEST_CASE("an outage that doesn't fit is named with its line", "[contacts]") {
    CHECK(failure_of("time_s,input,state\n1,bolt,lost\n2,bolt,1\n") ==
          "c.csv:3: state: bolt is lost; expected back before anything else of it");
    CHECK(failure_of("time_s,input,state\n1,bolt,lost\n2,bolt,lost\n") ==
          "c.csv:3: state: bolt is lost; expected back before anything else of it");
    CHECK(failure_of("time_s,input,state\n2,bolt,back\n") ==
          "c.csv:2: state: bolt is not lost here, so it can't come back");
}

TEST_CASE("an offset is for devices, not for what contacts.csv says", "[contacts]") {
    StationSettings settings = station();
    settings.contacts[0].offset_s = 0.5;
    CHECK(edges_of({{1.0, 0, true}}, settings).at(0).edge.time_s == 1.0);
}

TEST_CASE("a contacts.csv that is not there, or is a folder, is bad usage", "[contacts]") {
    const TestFolder folder;
    try {
        read_contacts_csv(folder.path("none.csv"), station());
        FAIL("no failure");
    } catch (const Failure& failure) {
        CHECK(failure.exit_code() == kExitUsage);
        CHECK(failure.what() ==
              folder.path("none.csv") +
                  ": can't be opened (No such file or directory); give the path of a contacts.csv");
    }
    CHECK_THROWS_WITH(read_contacts_csv(folder.path(""), station()),
                      folder.path("") + ": is a folder; give the path of a contacts.csv");
}

TEST_CASE("edges are written by the contact's name, with three decimals", "[contacts]") {
    const TestFolder folder;
    ContactsCsvWriter writer(folder.path("c.csv"), station());
    CHECK(writer.write({kEdge, 0, {-0.25, Role::kEntered, true}}));
    CHECK(writer.write({kEdge, 1, {12345.678, Role::kStunned, true}}));
    CHECK(writer.write({kEdge, 3, {12345.7, Role::kProdded, false}}));
    // Read while the writer still has it open: nothing waits in a buffer.
    CHECK(file_text(folder.path("c.csv")) ==
          "time_s,input,state\n-0.250,entered,1\n12345.678,bolt,1\n12345.700,right prod,0\n");
    CHECK(writer.write({ContactNews::What::kLost, 1, {12346.0, Role::kStunned, false}}));
    CHECK(writer.write({ContactNews::What::kBack, 1, {12347.0, Role::kStunned, false}}));
    CHECK(file_text(folder.path("c.csv")).ends_with("12346.000,bolt,lost\n12347.000,bolt,back\n"));
}

TEST_CASE("a contacts.csv that can't be written is named", "[contacts]") {
    const TestFolder folder;
    CHECK_THROWS_WITH(ContactsCsvWriter(folder.path("none/c.csv"), station()),
                      folder.path("none/c.csv") + ": can't be written (No such file or directory)");
    CHECK_THROWS_WITH(ContactsCsvWriter("/dev/full", station()),
                      "/dev/full: can't be written (No space left on device)");
}

TEST_CASE("edges written down read back as the same numbers", "[contacts]") {
    const StationSettings settings = station_with({Role::kEntered}, 0.0);
    const TestFolder folder;
    rc::prop("read(write(edges)) == edges", [&] {
        ContactInputs inputs(settings);
        std::vector<ContactEdge> edges;
        {
            ContactsCsvWriter writer(folder.path("c.csv"), settings);
            double time_s = *rc::gen::inRange(-1'000'000, 1'000'000'000) / 7777.0;
            for (const int step : *rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 100'000))) {
                time_s += step / 997.0;
                inputs.change(0, time_s, edges.size() % 2 == 0);
                inputs.known_until(0, time_s + 1e-3);
                for (ContactEdge edge; inputs.take(edge);) {
                    RC_ASSERT(std::abs(edge.edge.time_s - time_s) < 0.00051);
                    RC_ASSERT(writer.write({kEdge, edge.contact, edge.edge}));
                    edges.push_back(edge);
                }
            }
        }
        const auto back = edges_of(read_contacts_csv(folder.path("c.csv"), settings), settings);
        RC_ASSERT(back.size() == edges.size());
        for (std::size_t i = 0; i < edges.size(); ++i) {
            RC_ASSERT(back[i].edge.time_s == edges[i].edge.time_s);
            RC_ASSERT(back[i].edge.closed == edges[i].edge.closed);
        }
    });
}
