#include "daemon/contacts/modbus/modbus_source.h"

#include "daemon/contacts/back_off.h"
#include "daemon/contacts/level_report.h"
#include "daemon/contacts/modbus/modbus_device.h"
#include "daemon/contacts/source_thread.h"
#include "daemon/contacts/wait_lost.h"

namespace quietpass {

namespace {

std::vector<ModbusAddress> addresses_of(const std::vector<ModbusInput>& inputs) {
    std::vector<ModbusAddress> addresses;
    for (const ModbusInput& input : inputs) addresses.push_back(input.address);
    return addresses;
}

std::vector<std::size_t> contacts_of(const std::vector<ModbusInput>& inputs) {
    std::vector<std::size_t> contacts;
    for (const ModbusInput& input : inputs) contacts.push_back(input.contact);
    return contacts;
}

} // namespace

struct ModbusSource::Parts {
    Parts(std::size_t number, const std::vector<ModbusInput>& inputs, const Clock& the_clock,
          const ModbusTiming& the_timing)
        : name(inputs.front().address.source()),
          clock(the_clock),
          timing(the_timing),
          device(addresses_of(inputs), clock, timing.answer_within_s),
          report(number, contacts_of(inputs)) {}

    void run();

    const std::string name;
    const Clock& clock;
    const ModbusTiming timing;

    // Of the source's thread alone while it runs.
    ModbusDevice device;
    LevelReport report;

    SourceThread thread; // last: it ends before the rest goes
};

void ModbusSource::Parts::run() {
    BackOff back_off(timing.first_retry_s, timing.last_retry_s);
    RealTime::time_point known_at = RealTime::now();
    for (;;) {
        const RealTime::time_point begun = RealTime::now();
        if (const auto read = device.read_all()) {
            const auto not_read_for = RealTime::now() - known_at;
            known_at = RealTime::now();
            if (report.complete() &&
                not_read_for > real_seconds(timing.answer_within_s + 2.0 * timing.poll_s))
                report.lost(read->first_ns, "this machine did not get round to reading it");
            back_off.reset();
            for (std::size_t i = 0; i < read->levels.size(); ++i)
                report.learn(i, read->levels[i], read->at_ns[i]);
            report.known(read->last_ns);
            if (!thread.wait_until(begun + real_seconds(timing.poll_s))) return;
        } else {
            if (!wait_lost(thread, report, clock, device.why(), back_off.next())) return;
            known_at = RealTime::now();
        }
    }
}

ModbusSource::ModbusSource(std::size_t number, const std::vector<ModbusInput>& inputs, const Clock& clock,
                           const ModbusTiming& timing)
    : parts_(std::make_unique<Parts>(number, inputs, clock, timing)) {}

ModbusSource::~ModbusSource() {
    stop();
}

const std::string& ModbusSource::name() const {
    return parts_->name;
}

void ModbusSource::start(ContactSink& sink) {
    parts_->report.begin(sink, parts_->clock.monotonic_ns());
    parts_->thread.start([this] { parts_->run(); });
}

void ModbusSource::stop() {
    parts_->thread.stop();
    parts_->device.disconnect();
}

} // namespace quietpass
