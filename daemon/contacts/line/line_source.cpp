#include "daemon/contacts/line/line_source.h"

#include <algorithm>
#include <cstdio>

#include "daemon/contacts/back_off.h"
#include "daemon/contacts/level_report.h"
#include "daemon/contacts/line/controller_clock.h"
#include "daemon/contacts/line/line_link.h"
#include "daemon/contacts/line/line_message.h"
#include "daemon/contacts/source_thread.h"
#include "daemon/contacts/wait_lost.h"

namespace quietpass {

namespace {

// How soon a wish to stop is seen.
constexpr double kTurn_s = 0.05;

std::vector<std::size_t> contacts_of(const std::vector<LineInput>& inputs) {
    std::vector<std::size_t> contacts;
    for (const LineInput& input : inputs) contacts.push_back(input.contact);
    return contacts;
}

// What came, as it can stand in a log.
std::string shown(const std::string& line) {
    std::string text = line.substr(0, 40);
    std::replace_if(
        text.begin(), text.end(), [](char letter) { return letter < ' ' || letter > '~'; }, '.');
    return "'" + text + "'";
}

} // namespace

struct LineSource::Parts {
    Parts(std::size_t number, std::vector<LineInput> wired, const Clock& the_clock,
          const LineTiming& the_timing)
        : name(wired.front().address.source()),
          clock(the_clock),
          timing(the_timing),
          inputs(std::move(wired)),
          link(inputs.front().address),
          report(number, contacts_of(inputs)),
          their_clock(timing.silent_after_s + 1.0) {}

    void run();
    bool connect();
    bool listen();
    void hear(const std::string& line);
    void start_over(const std::string& because);
    bool ask();

    const std::string name;
    const Clock& clock;
    const LineTiming timing;
    const std::vector<LineInput> inputs;

    // Of the source's thread alone while it runs.
    LineLink link;
    LevelReport report;
    ControllerClock their_clock;
    RealTime::time_point heard_at; // the last good line
    RealTime::time_point asked_at; // for all levels
    std::string why;

    SourceThread thread; // last: it ends before the rest goes
};

void LineSource::Parts::run() {
    BackOff back_off(timing.first_retry_s, timing.last_retry_s);
    while (!thread.stopping()) {
        if (connect()) {
            while (!thread.stopping() && listen()) {
                if (report.complete()) back_off.reset();
            }
            if (thread.stopping()) break;
        }
        link.close();
        if (!wait_lost(thread, report, clock, why, back_off.next())) break;
    }
    link.close();
}

bool LineSource::Parts::connect() {
    if (!link.open(RealTime::now() + real_seconds(timing.connect_within_s))) {
        why = link.why();
        return false;
    }
    their_clock.reset();
    heard_at = RealTime::now();
    return ask();
}

// False when the connection is of no use any more.
bool LineSource::Parts::listen() {
    std::string line;
    const LineLink::Got got = link.read(line, RealTime::now() + real_seconds(kTurn_s));
    if (got == LineLink::Got::kFailed) {
        why = link.why();
        return false;
    }
    if (got == LineLink::Got::kLine) hear(line);
    const RealTime::time_point now = RealTime::now();
    if (now - heard_at > real_seconds(timing.silent_after_s)) {
        char text[64];
        std::snprintf(text, sizeof text, "no line came for %.1f s", timing.silent_after_s);
        why = text;
        return false;
    }
    if (const auto missing = report.unknown()) {
        report.tell_incomplete(clock.monotonic_ns(), timing.silent_after_s,
                               "the state of input " + inputs[*missing].address.input + " is not known");
        if (now - asked_at > real_seconds(timing.ask_again_s)) return ask();
    }
    return true;
}

void LineSource::Parts::hear(const std::string& line) {
    const std::int64_t came_ns = clock.monotonic_ns();
    const auto message = line_message_from(line);
    if (!message) {
        start_over("a line can't be read: " + shown(line));
        ask();
        return;
    }
    heard_at = RealTime::now();
    std::int64_t at_ns = came_ns;
    if (message->stamp_ms) {
        const auto stamped_ns = their_clock.at(*message->stamp_ms, came_ns);
        if (!stamped_ns) {
            start_over("its clock began anew");
            ask();
        }
        at_ns = stamped_ns.value_or(came_ns);
    }
    if (!message->input.empty()) {
        const auto input = std::find_if(inputs.begin(), inputs.end(), [&](const LineInput& each) {
            return each.address.input == message->input;
        });
        const auto number = static_cast<std::size_t>(input - inputs.begin());
        if (input != inputs.end() && message->closed) {
            report.learn(number, *message->closed, at_ns);
        } else if (input != inputs.end()) {
            report.lose(number, came_ns, "it does not know the state of input " + message->input);
        }
    }
    report.known(at_ns);
}

void LineSource::Parts::start_over(const std::string& because) {
    if (report.complete()) {
        report.lost(clock.monotonic_ns(), because);
    } else {
        report.forget();
    }
}

// Whether it could be asked for all levels; if not, the next read says why.
bool LineSource::Parts::ask() {
    asked_at = RealTime::now();
    if (link.write("state")) return true;
    why = link.why();
    return false;
}

LineSource::LineSource(std::size_t number, std::vector<LineInput> inputs, const Clock& clock,
                       const LineTiming& timing)
    : parts_(std::make_unique<Parts>(number, std::move(inputs), clock, timing)) {}

LineSource::~LineSource() {
    stop();
}

const std::string& LineSource::name() const {
    return parts_->name;
}

void LineSource::start(ContactSink& sink) {
    parts_->report.begin(sink, parts_->clock.monotonic_ns());
    parts_->thread.start([this] { parts_->run(); });
}

void LineSource::stop() {
    parts_->thread.stop();
}

} // namespace quietpass
