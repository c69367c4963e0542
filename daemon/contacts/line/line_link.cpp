#include "daemon/contacts/line/line_link.h"

#include <sys/ioctl.h>

#include <array>
#include <boost/asio/connect.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/serial_port.hpp>
#include <boost/asio/write.hpp>

#include "daemon/contacts/line/line_message.h"

namespace quietpass {

namespace {

namespace asio = boost::asio;
using Error = boost::system::error_code;
using Serial = asio::serial_port;

// More than kLongestLine, so that no piece of what is too long can be read as a line.
constexpr std::size_t kMostWaiting = 2 * kLongestLine;

} // namespace

struct LineLink::Parts {
    asio::io_context context;
    asio::ip::tcp::socket socket{context};
    Serial port{context};
    std::array<char, 512> chunk{};
    std::string waiting; // read and not yet given
    bool reading = false;
    Error read_error;

    // Runs until `done` or until then.
    void run(const bool& done, RealTime::time_point until) {
        while (!done && RealTime::now() < until) {
            context.restart();
            context.run_one_until(until);
        }
    }

    Error connect(const LineAddress& address, RealTime::time_point until) {
        Error error;
        asio::ip::tcp::resolver resolver(context);
        const auto places = resolver.resolve(address.host, std::to_string(address.port), error);
        if (error) return error;
        bool done = false;
        error = asio::error::timed_out;
        asio::async_connect(socket, places, [&](const Error& result, const auto&) {
            error = result;
            done = true;
        });
        run(done, until);
        if (done) return error;
        // The handler holds on to this function's variables: it must have run before they go.
        Error ignored;
        socket.close(ignored);
        context.restart();
        context.run();
        return asio::error::timed_out;
    }

    Error open_port(const SerialLine& line) {
        Error error;
        const auto set = [&](const auto& option) {
            if (!error) port.set_option(option, error);
        };
        port.open(line.device, error);
        set(Serial::baud_rate(static_cast<unsigned>(line.baud)));
        set(Serial::character_size(static_cast<unsigned>(line.data_bits)));
        set(Serial::parity(line.parity == 'N'   ? Serial::parity::none
                           : line.parity == 'E' ? Serial::parity::even
                                                : Serial::parity::odd));
        set(Serial::stop_bits(line.stop_bits == 1 ? Serial::stop_bits::one : Serial::stop_bits::two));
        set(Serial::flow_control(Serial::flow_control::none));
        if (!error) ioctl(port.native_handle(), TIOCEXCL);
        return error;
    }

    void read_more() {
        if (reading || read_error) return;
        reading = true;
        const auto take = [this](const Error& error, std::size_t count) {
            reading = false;
            read_error = error;
            waiting.append(chunk.data(), count);
        };
        if (port.is_open()) {
            port.async_read_some(asio::buffer(chunk), take);
        } else {
            socket.async_read_some(asio::buffer(chunk), take);
        }
    }

    bool take_line(std::string& line) {
        std::size_t end = waiting.find('\n');
        const bool ended = end != std::string::npos;
        if (!ended && waiting.size() < kMostWaiting) return false;
        if (!ended) end = waiting.size();
        line = waiting.substr(0, end);
        waiting.erase(0, end + (ended ? 1 : 0));
        if (line.ends_with('\r')) line.pop_back();
        return true;
    }
};

LineLink::LineLink(LineAddress address) : address_(std::move(address)) {}

LineLink::~LineLink() = default;

bool LineLink::open(RealTime::time_point until) {
    parts_ = std::make_unique<Parts>();
    const Error error =
        address_.serial ? parts_->open_port(*address_.serial) : parts_->connect(address_, until);
    return !error || fail(error.message());
}

void LineLink::close() {
    parts_.reset();
}

LineLink::Got LineLink::read(std::string& line, RealTime::time_point until) {
    if (!parts_) return Got::kFailed;
    for (;;) {
        if (parts_->take_line(line)) return Got::kLine;
        if (parts_->read_error) {
            const Error error = parts_->read_error;
            fail(error == asio::error::eof ? "it hung up" : error.message());
            return Got::kFailed;
        }
        parts_->read_more();
        parts_->context.restart();
        if (parts_->context.run_one_until(until) == 0) return Got::kNothing;
    }
}

bool LineLink::write(const std::string& line) {
    Error error;
    const std::string sent = line + "\n";
    if (parts_->port.is_open()) {
        asio::write(parts_->port, asio::buffer(sent), error);
    } else {
        asio::write(parts_->socket, asio::buffer(sent), error);
    }
    return !error || fail(error.message());
}

bool LineLink::fail(const std::string& why) {
    why_ = why;
    close();
    return false;
}

} // namespace quietpass
