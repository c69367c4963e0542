#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <cstdio>
#include <limits>
#include <string>
#include <thread>

#include "daemon/clock.h"
#include "daemon/contacts/contact_inputs.h"
#include "daemon/contacts/contact_queue.h"
#include "daemon/contacts/live_sources.h"
#include "daemon/failure.h"
#include "tests/contacts/contact_player.h"
#include "tests/contacts/test_station.h"
#include "tests/test_folder.h"

using namespace quietpass;

namespace {

const std::string kStation = R"([station]
name = "box-2"
species = "cattle"
timezone = "UTC"
[restraint]
kind = "box"
[[microphone]]
name = "head"
[[contact]]
role = "entered"
input = "modbus://127.0.0.1:1/unit/1/discrete/0"
[[contact]]
role = "held"
input = "modbus://127.0.0.1:1/unit/1/discrete/1"
inverted = true
[[contact]]
role = "stunned"
input = "modbus://127.0.0.1:1/unit/1/coil/9"
[scoring]
limit_percent = 5
basis = "a guide, an edition"
)";

const std::string kContacts = R"(time_s,input,state
1.0,entered,1
2.0,held,1
3.0,stunned,1
4.0,entered,0
5.0,held,0
6.0,stunned,0
)";

// The program, with what it prints.
class Program {
  public:
    explicit Program(const std::string& arguments)
        : output_(popen((std::string(MODBUS_CONTACTS) + " " + arguments + " 2>&1").c_str(), "r")) {}
    ~Program() {
        if (output_ != nullptr) exit_code();
    }

    std::string line() {
        std::string text;
        for (int c = std::fgetc(output_); c != EOF && c != '\n'; c = std::fgetc(output_)) {
            text += static_cast<char>(c);
        }
        return text;
    }
    int exit_code() {
        const int status = pclose(output_);
        output_ = nullptr;
        return WEXITSTATUS(status);
    }

  private:
    FILE* output_;
};

// What the station's live sources see of the program until it goes away.
std::string edges_seen(const std::string& station_inputs_port) {
    StationSettings settings = station_with({Role::kEntered, Role::kHeld, Role::kStunned}, 0.0);
    settings.contacts[1].inverted = true;
    wire(settings, std::stoi(station_inputs_port));
    settings.contacts[2].input = "modbus://127.0.0.1:" + station_inputs_port + "/unit/1/coil/9";
    const RealClock clock;
    ContactQueue queue; // outlives the sources that post to it
    LiveSources live = live_sources(settings, clock, {{0.002, 1.0, 0.02, 0.02}});
    live.sources.at(0)->start(queue);
    ContactInputs inputs(settings);
    std::vector<ContactEvent> events;
    std::string seen;
    // The device is lost for good when the program has ended.
    const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(20);
    while (seen.find("stunned 0") == std::string::npos && std::chrono::steady_clock::now() < give_up) {
        std::this_thread::sleep_for(std::chrono::milliseconds(1));
        queue.take_all(events);
        for (const ContactEvent& event : events) {
            inputs.take(event, static_cast<double>(event.at_ns) / 1e9,
                        static_cast<double>(event.from_ns) / 1e9);
        }
        for (ContactEdge edge; inputs.take(edge);) {
            seen += std::string(name_of(edge.edge.role)) + (edge.edge.closed ? " 1 " : " 0 ");
        }
    }
    return seen;
}

std::string port_of(const std::string& line) {
    const std::string start = "listening on 127.0.0.1:";
    REQUIRE(line.starts_with(start));
    return line.substr(start.size());
}

// In contact order, so that a busy machine that reads two steps at once sees the same.
const std::string kAll = "entered 1 held 1 stunned 1 entered 0 held 0 stunned 0 ";

} // namespace

TEST_CASE("modbus-contacts plays a contacts.csv to a client and ends by itself", "[contacts]") {
    const TestFolder folder;
    Program program("--station " + folder.write("s.toml", kStation) + " --contacts " +
                    folder.write("c.csv", kContacts) +
                    " --port 0 --speed 20 --start-on-connection --linger 2");
    CHECK(edges_seen(port_of(program.line())) == kAll);
    CHECK(program.line() == "started");
    CHECK(program.line() == "done");
    CHECK(program.exit_code() == 0);
}

TEST_CASE("modbus-contacts goes with the microphone that wrote the started file", "[contacts]") {
    const TestFolder folder;
    Program program("--station " + folder.write("s.toml", kStation) + " --contacts " +
                    folder.write("c.csv", kContacts) + " --port 0 --linger 1 --started-file " +
                    folder.path("started"));
    const std::string port = port_of(program.line());
    // A microphone of 8 s at 20 times its speed, whose first sample is due in 0.1 s.
    const std::int64_t start_ns = RealClock().monotonic_ns() + 100'000'000;
    folder.write("started", std::to_string(start_ns) + " 20 48000 384000\n");
    CHECK(edges_seen(port) == kAll);
    CHECK(program.line() == "started");
    CHECK(program.line() == "done");
    const std::int64_t lasted_ns = RealClock().monotonic_ns() - start_ns;
    CHECK(lasted_ns >= 9 * 1'000'000'000LL / 20);
    CHECK(program.exit_code() == 0);
}

TEST_CASE("a client gets over modbus-contacts' faults", "[contacts]") {
    const TestFolder folder;
    Program program(
        "--station " + folder.write("s.toml", kStation) + " --contacts " + folder.write("c.csv", kContacts) +
        " --port 0 --speed 10 --start-on-connection --linger 2 --drop 1.5 --down 3.2:0.3 --drop 5.5");
    CHECK(edges_seen(port_of(program.line())) == kAll);
}

TEST_CASE("modbus-contacts says in one line what it can't do", "[contacts]") {
    const TestFolder folder;
    const std::string station = " --station " + folder.write("s.toml", kStation);
    const std::string contacts = " --contacts " + folder.write("c.csv", kContacts);
    const auto failure = [](const std::string& arguments, int exit_code) {
        Program program(arguments);
        const std::string line = program.line();
        CHECK(program.line().empty());
        CHECK(program.exit_code() == exit_code);
        return line;
    };
    CHECK(failure(contacts, 2) == "modbus-contacts: --station is required; see --help");
    CHECK(failure(station + contacts + " --started-file a --start-on-line", 2)
              .starts_with("modbus-contacts: "));
    CHECK(failure(station + contacts + " --port 0 --mute 3", 2) ==
          "modbus-contacts: expected START:LENGTH in seconds, found 3");
    CHECK(failure(station + " --contacts " + folder.path("none.csv") + " --port 0", 2)
              .starts_with(folder.path("none.csv") + ": can't be opened"));
    const ModbusServer server;
    CHECK(failure(station + contacts + " --port " + std::to_string(server.port()), 1) ==
          "127.0.0.1:" + std::to_string(server.port()) +
              ": can't serve Modbus here (Address already in use); give another --port");
}

TEST_CASE("steps of the same time play in the order they were given", "[contacts]") {
    const TestFolder folder;
    StationSettings settings = station_with({Role::kEntered});
    ModbusServer server;
    wire(settings, server.port());
    ContactPlayer player(settings, folder.write("c.csv", "time_s,input,state\n1,entered,1\n2,entered,0\n"),
                         server);
    player.mute(1.0, 4.0);
    CHECK(player.next_s() == 1.0);
    CHECK(player.last_s() == 5.0);
    player.play_until(1.0);
    CHECK(player.next_s() == 2.0);
    player.play_until(10.0);
    CHECK(player.next_s() == std::numeric_limits<double>::infinity());
}
