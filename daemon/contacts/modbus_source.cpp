#include "daemon/contacts/modbus_source.h"

#include <modbus/modbus.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <condition_variable>
#include <csignal>
#include <mutex>
#include <optional>
#include <thread>

#include "daemon/contacts/modbus_ranges.h"

namespace quietpass {

namespace {

using RealTime = std::chrono::steady_clock;

std::chrono::microseconds microseconds(double seconds) {
    return std::chrono::microseconds(static_cast<std::int64_t>(seconds * 1e6));
}

struct CloseModbus {
    void operator()(modbus_t* device) const {
        modbus_close(device);
        modbus_free(device);
    }
};

} // namespace

struct ModbusSource::Parts {
    struct Input {
        ModbusInput wired;
        bool level = false;
    };
    struct Read {
        std::vector<bool> levels;        // of each input
        std::vector<std::int64_t> at_ns; // of each input
        std::int64_t first_ns = 0;
        std::int64_t last_ns = 0;
    };

    Parts(std::size_t source_number, std::vector<ModbusInput> wired, const Clock& the_clock,
          const ModbusTiming& the_timing)
        : number(source_number),
          name(wired.front().address.source()),
          clock(the_clock),
          timing(the_timing),
          device(modbus_new_tcp_pi(wired.front().address.host.c_str(),
                                   std::to_string(wired.front().address.port).c_str())) {
        std::vector<ContactAddress> addresses;
        for (const ModbusInput& input : wired) {
            addresses.push_back(input.address);
            inputs.push_back({input});
        }
        ranges = modbus_ranges(std::move(addresses));
        if (!device) return; // out of memory: read_all() fails as if the device were away
        const auto wait = microseconds(timing.answer_within_s).count();
        modbus_set_response_timeout(device.get(), static_cast<std::uint32_t>(wait / 1'000'000),
                                    static_cast<std::uint32_t>(wait % 1'000'000));
        // No limit for single bytes: the one above then holds for the whole answer.
        modbus_set_byte_timeout(device.get(), 0, 0);
        modbus_set_slave(device.get(), wired.front().address.unit);
    }

    void run(ContactSink& sink);
    std::optional<Read> read_all();
    void post_read(ContactSink& sink, const Read& read);
    void post_lost(ContactSink& sink, std::int64_t to_ns, const std::string& why);
    void disconnect();
    // False when it is time to stop.
    bool wait_until(RealTime::time_point when);

    const std::size_t number;
    const std::string name;
    const Clock& clock;
    const ModbusTiming timing;
    std::vector<ModbusRange> ranges;

    // Of the source's thread alone while it runs.
    std::unique_ptr<modbus_t, CloseModbus> device;
    std::vector<Input> inputs;
    bool connected = false;
    bool levels_known = false;
    std::int64_t known_ns = 0;          // the last good read
    RealTime::time_point known_at_real; // the same, in real time
    std::string why;                    // of the last failure

    std::thread thread;
    std::mutex mutex;
    std::condition_variable wake;
    bool stopping = false; // under mutex
};

void ModbusSource::Parts::run(ContactSink& sink) {
    known_ns = clock.monotonic_ns();
    known_at_real = RealTime::now();
    double retry_s = timing.first_retry_s;
    bool lost = false;
    for (;;) {
        const RealTime::time_point begun = RealTime::now();
        if (const auto read = read_all()) {
            const auto not_read_for = RealTime::now() - known_at_real;
            if (lost) {
                post_lost(sink, read->first_ns, why);
            } else if (not_read_for > microseconds(timing.answer_within_s + 2.0 * timing.poll_s)) {
                post_lost(sink, read->first_ns, "this machine did not get round to reading it");
            }
            lost = false;
            retry_s = timing.first_retry_s;
            post_read(sink, *read);
            if (!wait_until(begun + microseconds(timing.poll_s))) return;
        } else {
            disconnect();
            lost = true;
            post_lost(sink, clock.monotonic_ns(), why);
            if (!wait_until(RealTime::now() + microseconds(retry_s))) {
                post_lost(sink, clock.monotonic_ns(), why);
                return;
            }
            retry_s = std::min(2.0 * retry_s, timing.last_retry_s);
        }
    }
}

std::optional<ModbusSource::Parts::Read> ModbusSource::Parts::read_all() {
    if (!device || (!connected && modbus_connect(device.get()) != 0)) {
        why = modbus_strerror(device ? errno : ENOMEM);
        return std::nullopt;
    }
    connected = true;
    Read read{std::vector<bool>(inputs.size()), std::vector<std::int64_t>(inputs.size())};
    std::vector<std::uint8_t> bits;
    for (const ModbusRange& range : ranges) {
        bits.assign(static_cast<std::size_t>(range.count), 0);
        const std::int64_t sent_ns = clock.monotonic_ns();
        const int got = range.table == ModbusTable::kCoil
                            ? modbus_read_bits(device.get(), range.first, range.count, bits.data())
                            : modbus_read_input_bits(device.get(), range.first, range.count, bits.data());
        if (got != range.count) {
            why = modbus_strerror(errno);
            return std::nullopt;
        }
        const std::int64_t at_ns = sent_ns + (clock.monotonic_ns() - sent_ns) / 2;
        if (read.first_ns == 0) read.first_ns = at_ns;
        read.last_ns = at_ns;
        for (std::size_t i = 0; i < inputs.size(); ++i) {
            const ContactAddress& address = inputs[i].wired.address;
            if (!range.holds(address)) continue;
            read.levels[i] = bits[static_cast<std::size_t>(address.number - range.first)] != 0;
            read.at_ns[i] = at_ns;
        }
    }
    return read;
}

void ModbusSource::Parts::post_read(ContactSink& sink, const Read& read) {
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        if (levels_known && inputs[i].level == read.levels[i]) continue;
        inputs[i].level = read.levels[i];
        ContactEvent change;
        change.kind = ContactEvent::Kind::kChange;
        change.source = number;
        change.contact = inputs[i].wired.contact;
        change.level = read.levels[i];
        change.after_loss = !levels_known;
        change.at_ns = read.at_ns[i];
        sink.post(change);
    }
    levels_known = true;
    known_ns = read.last_ns;
    known_at_real = RealTime::now();
    ContactEvent known;
    known.source = number;
    known.at_ns = known_ns;
    sink.post(known);
}

void ModbusSource::Parts::post_lost(ContactSink& sink, std::int64_t to_ns, const std::string& reason) {
    ContactEvent lost;
    lost.kind = ContactEvent::Kind::kLost;
    lost.source = number;
    lost.from_ns = known_ns;
    lost.at_ns = to_ns;
    lost.why = reason;
    known_ns = to_ns;
    levels_known = false;
    sink.post(lost);
}

void ModbusSource::Parts::disconnect() {
    if (!connected) return;
    modbus_flush(device.get());
    modbus_close(device.get());
    connected = false;
}

bool ModbusSource::Parts::wait_until(RealTime::time_point when) {
    std::unique_lock lock(mutex);
    return !wake.wait_until(lock, when, [this] { return stopping; });
}

ModbusSource::ModbusSource(std::size_t number, std::vector<ModbusInput> inputs, const Clock& clock,
                           const ModbusTiming& timing)
    : parts_(std::make_unique<Parts>(number, std::move(inputs), clock, timing)) {}

ModbusSource::~ModbusSource() {
    stop();
}

const std::string& ModbusSource::name() const {
    return parts_->name;
}

void ModbusSource::start(ContactSink& sink) {
    // Signals are the main thread's business; a thread begins with its maker's mask.
    sigset_t all;
    sigset_t before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    parts_->stopping = false;
    parts_->thread = std::thread([this, &sink] { parts_->run(sink); });
    pthread_sigmask(SIG_SETMASK, &before, nullptr);
}

void ModbusSource::stop() {
    {
        const std::lock_guard lock(parts_->mutex);
        parts_->stopping = true;
    }
    parts_->wake.notify_all();
    if (parts_->thread.joinable()) parts_->thread.join();
    parts_->disconnect();
}

} // namespace quietpass
