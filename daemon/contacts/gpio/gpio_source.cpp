#include "daemon/contacts/gpio/gpio_source.h"

#include <algorithm>

#include "daemon/contacts/back_off.h"
#include "daemon/contacts/level_report.h"
#include "daemon/contacts/source_thread.h"
#include "daemon/contacts/wait_lost.h"

namespace quietpass {

namespace {

std::vector<std::size_t> contacts_of(const std::vector<GpioInput>& inputs) {
    std::vector<std::size_t> contacts;
    for (const GpioInput& input : inputs) contacts.push_back(input.contact);
    return contacts;
}

std::vector<GpioAddress> addresses_of(const std::vector<GpioInput>& inputs) {
    std::vector<GpioAddress> addresses;
    for (const GpioInput& input : inputs) addresses.push_back(input.address);
    return addresses;
}

} // namespace

struct GpioSource::Parts {
    Parts(std::size_t number, const std::vector<GpioInput>& inputs, std::unique_ptr<GpioLines> the_lines,
          const Clock& the_clock, const GpioTiming& the_timing)
        : name(inputs.front().address.source()),
          addresses(addresses_of(inputs)),
          lines(std::move(the_lines)),
          clock(the_clock),
          timing(the_timing),
          report(number, contacts_of(inputs)) {}

    void run();
    bool watch();
    bool read_levels();

    const std::string name;
    const std::vector<GpioAddress> addresses;
    const std::unique_ptr<GpioLines> lines;
    const Clock& clock;
    const GpioTiming timing;
    LevelReport report; // of the source's thread alone while it runs

    SourceThread thread; // last: it ends before the rest goes
};

void GpioSource::Parts::run() {
    BackOff back_off(timing.first_retry_s, timing.last_retry_s);
    while (!thread.stopping()) {
        if (lines->open(addresses) && read_levels()) {
            back_off.reset();
            while (!thread.stopping() && watch()) {
            }
            if (thread.stopping()) break;
        }
        lines->close();
        if (!wait_lost(thread, report, clock, lines->why(), back_off.next())) break;
    }
    lines->close();
}

// False when the chip failed.
bool GpioSource::Parts::watch() {
    auto edges = lines->edges(timing.turn_s);
    if (!edges) return false;
    const std::int64_t now_ns = clock.monotonic_ns();
    if (edges->empty()) {
        report.known(now_ns);
        return true;
    }
    std::stable_sort(edges->begin(), edges->end(),
                     [](const GpioEdge& a, const GpioEdge& b) { return a.age_ns > b.age_ns; });
    for (const GpioEdge& edge : *edges) report.learn(edge.line, edge.high, now_ns - edge.age_ns);
    return read_levels();
}

bool GpioSource::Parts::read_levels() {
    const auto levels = lines->levels();
    if (!levels) return false;
    const std::int64_t now_ns = clock.monotonic_ns();
    for (std::size_t line = 0; line < levels->size(); ++line) report.learn(line, (*levels)[line], now_ns);
    report.known(now_ns);
    return true;
}

GpioSource::GpioSource(std::size_t number, const std::vector<GpioInput>& inputs,
                       std::unique_ptr<GpioLines> lines, const Clock& clock, const GpioTiming& timing)
    : parts_(std::make_unique<Parts>(number, inputs, std::move(lines), clock, timing)) {}

GpioSource::~GpioSource() {
    stop();
}

const std::string& GpioSource::name() const {
    return parts_->name;
}

void GpioSource::start(ContactSink& sink) {
    parts_->report.begin(sink, parts_->clock.monotonic_ns());
    parts_->thread.start([this] { parts_->run(); });
}

void GpioSource::stop() {
    parts_->thread.stop();
}

} // namespace quietpass
