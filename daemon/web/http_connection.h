// One connection: requests are read within their deadlines, answered on a worker, written piece by piece.
// On the sockets' thread. Only clear_connections.cpp and tls_connections.cpp include this.
#pragma once

#include <fcntl.h>
#include <unistd.h>

#include <boost/asio/ssl/stream_base.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/http.hpp>
#include <functional>

#include "daemon/web/live_connection.h"
#include "daemon/web/server_core.h"

namespace quietpass {

template <typename Stream>
class HttpConnection : public std::enable_shared_from_this<HttpConnection<Stream>> {
    static constexpr bool kTls = !std::is_same_v<Stream, TcpStream>;
    static constexpr std::uint32_t kLongestHeader = 16 * 1024;
    static constexpr std::uint64_t kLongestBody = 64 * 1024;
    static constexpr std::size_t kPiece = 128 * 1024;

  public:
    HttpConnection(ServerCore& core, std::shared_ptr<Place> place, Stream&& stream, std::string address)
        : core_(core), place_(std::move(place)), stream_(std::move(stream)), address_(std::move(address)) {}

    void start() {
        within(core_.page.header_s);
        if constexpr (kTls) {
            stream_.async_handshake(net::ssl::stream_base::server,
                                    [self = this->shared_from_this()](beast::error_code error) {
                                        if (!self->failed(error))
                                            self->wait_for_request(self->core_.page.header_s);
                                    });
        } else {
            wait_for_request(core_.page.header_s);
        }
    }

  private:
    using Self = std::shared_ptr<HttpConnection>;
    using Parser = http::request_parser<http::string_body>;
    using Response = http::response<http::span_body<const char>>;
    using Serializer = http::response_serializer<http::span_body<const char>>;
    // One type for what goes on after any operation: each type of its own is all of its templates again.
    using Done = std::function<void(beast::error_code, std::size_t)>;

    Self self() { return this->shared_from_this(); }
    void within(double seconds) { beast::get_lowest_layer(stream_).expires_after(duration(seconds)); }
    bool failed(beast::error_code error) {
        if (error == beast::error::timeout) core_.metrics.cut_off();
        return static_cast<bool>(error);
    }

    void wait_for_request(double patience_s) {
        parser_.emplace();
        parser_->header_limit(kLongestHeader);
        parser_->body_limit(kLongestBody);
        if (read_.size() > 0) return read_header();
        within(patience_s);
        stream_.async_read_some(read_.prepare(4096),
                                Done([self = self()](beast::error_code error, std::size_t bytes) {
                                    if (self->failed(error)) return;
                                    self->read_.commit(bytes);
                                    self->read_header();
                                }));
    }

    void read_header() {
        within(core_.page.header_s);
        const Done body_read = [self = self()](beast::error_code error, std::size_t) {
            if (error) return self->refuse(error);
            self->handle();
        };
        const Done header_read = [self = self(), body_read](beast::error_code error, std::size_t) {
            if (error) return self->refuse(error);
            self->within(self->core_.page.body_s);
            http::async_read(self->stream_, self->read_, *self->parser_, body_read);
        };
        http::async_read_header(stream_, read_, *parser_, header_read);
    }

    // What is no request is answered where it can be, and the connection ends.
    void refuse(beast::error_code error) {
        if (failed(error) && error.category() != http::make_error_code(http::error::bad_method).category())
            return;
        if (error == http::error::end_of_stream || error == http::error::partial_message) return finish();
        WebAnswer answer;
        answer.status = error == http::error::header_limit ? 431
                        : error == http::error::body_limit ? 413
                                                           : 400;
        keep_alive_ = false;
        head_ = false;
        write(std::move(answer));
    }

    std::string field(http::field name) const { return std::string(parser_->get()[name]); }

    WebRequest request() const {
        const auto& message = parser_->get();
        WebRequest request;
        request.method = std::string(message.method_string());
        const std::string target(message.target());
        const std::size_t mark = target.find('?');
        request.path = target.substr(0, mark);
        if (mark != std::string::npos) request.query = target.substr(mark + 1);
        request.address = address_;
        request.body = message.body();
        request.cookie = field(http::field::cookie);
        request.token = std::string(message["X-Quietpass-Token"]);
        request.range = field(http::field::range);
        request.origin = field(http::field::origin);
        request.host = field(http::field::host);
        request.content_type = field(http::field::content_type);
        request.accept_encoding = field(http::field::accept_encoding);
        request.if_none_match = field(http::field::if_none_match);
        request.secure = kTls;
        return request;
    }

    void handle() {
        beast::get_lowest_layer(stream_).expires_never(); // the worker's time is not the client's fault
        keep_alive_ = parser_->get().keep_alive();
        head_ = parser_->get().method() == http::verb::head;
        WebRequest request = this->request();
        const bool live = request.path == "/api/v1/live" && websocket::is_upgrade(parser_->get());
        const bool slow = !live && core_.handlers.is_slow(request);
        const bool taken = core_.run(slow, [self = self(), request = std::move(request), live]() mutable {
            ServerCore& core = self->core_;
            WebAnswer answer;
            std::optional<std::string> listener;
            if (live)
                listener = core.handlers.may_listen(request, answer);
            else
                answer = core.handlers.answer(request);
            // The connection may only go where it lives: on the sockets' thread.
            net::post(core.io, [self = std::move(self), answer = std::move(answer),
                                listener = std::move(listener)]() mutable {
                if (listener) return self->listen(std::move(*listener));
                self->write(std::move(answer));
            });
        });
        if (taken) return;
        WebAnswer busy;
        busy.status = 503;
        busy.headers.emplace_back("Retry-After", "1");
        write(std::move(busy));
    }

    void listen(std::string session) {
        std::make_shared<LiveConnection<Stream>>(core_, std::move(place_), std::move(stream_),
                                                 std::move(session))
            ->accept(parser_->get());
    }

    void fill(Response& response, const WebAnswer& answer) const {
        response.set(http::field::server, "quietpass");
        // Own files only, no script or style in the page itself but the waveform's one style, no frame around
        // it.
        response.set("Content-Security-Policy",
                     "default-src 'none'; script-src 'self'; "
                     "style-src 'self' 'sha256-fF0LBso7Nz75zaFRDBUefBDvPe19hjaiDnnc8lt+2Js='; img-src 'self' "
                     "data: blob:; "
                     "media-src 'self' blob:; font-src 'self'; connect-src 'self'; manifest-src 'self'; "
                     "base-uri 'none'; form-action 'self'; frame-ancestors 'none'");
        response.set("X-Content-Type-Options", "nosniff");
        response.set("Referrer-Policy", "no-referrer");
        response.set("Cross-Origin-Opener-Policy", "same-origin");
        response.set("Cross-Origin-Resource-Policy", "same-origin");
        // Not with a self-signed certificate: it would take from people the way past the browser's warning.
        if (kTls && !core_.own_certificate) response.set("Strict-Transport-Security", "max-age=31536000");
        if (!answer.type.empty()) response.set(http::field::content_type, answer.type);
        bool cached = false;
        for (const auto& [name, value] : answer.headers) {
            response.insert(name, value);
            cached = cached || name == "Cache-Control";
        }
        if (!cached) response.set(http::field::cache_control, "no-store");
        response.keep_alive(keep_alive_);
    }

    void write(WebAnswer answer) {
        core_.metrics.answered(answer.status);
        answer_ = std::move(answer);
        if (answer_.file) return write_file();
        const auto status = static_cast<http::status>(answer_.status);
        auto response = std::make_shared<Response>(status, 11);
        fill(*response, answer_);
        const bool bare = answer_.status == 204 || answer_.status == 304;
        if (!bare) response->content_length(answer_.body ? answer_.body->size() : 0);
        if (answer_.body && !head_ && !bare) response->body() = {answer_.body->data(), answer_.body->size()};
        auto serializer = std::make_shared<Serializer>(*response);
        within(core_.page.write_s);
        const Done done = [self = self(), response, serializer](beast::error_code error, std::size_t) {
            self->written(error);
        };
        if (head_ || bare)
            http::async_write_header(stream_, *serializer, done);
        else
            http::async_write(stream_, *serializer, done);
    }

    void write_file() {
        auto response = std::make_shared<Response>(static_cast<http::status>(answer_.status), 11);
        fill(*response, answer_);
        response->content_length(answer_.file->bytes);
        auto serializer = std::make_shared<Serializer>(*response);
        within(core_.page.write_s);
        const Done done = [self = self(), response, serializer](beast::error_code error, std::size_t) {
            if (error || self->head_ || self->answer_.file->bytes == 0) return self->written(error);
            self->read_piece();
        };
        http::async_write_header(stream_, *serializer, done);
    }

    // The disk is read on a worker, so that a slow one holds up nobody else.
    void read_piece() {
        beast::get_lowest_layer(stream_).expires_never();
        const bool taken = core_.run(false, [self = self(), part = *answer_.file]() mutable {
            auto piece = std::make_shared<std::string>(std::min<std::uint64_t>(kPiece, part.bytes), '\0');
            const int file = ::open(part.file.c_str(), O_RDONLY | O_CLOEXEC);
            const ssize_t bytes =
                file < 0 ? -1 : ::pread(file, piece->data(), piece->size(), static_cast<off_t>(part.offset));
            if (file >= 0) ::close(file);
            piece->resize(bytes > 0 ? static_cast<std::size_t>(bytes) : 0);
            net::io_context& io = self->core_.io;
            net::post(io, [self = std::move(self), piece = std::move(piece)] { self->write_piece(piece); });
        });
        if (!taken) close_now();
    }

    void write_piece(const std::shared_ptr<std::string>& piece) {
        if (piece->empty()) return close_now(); // gone while it was sent: the length promised can't be kept
        within(core_.page.write_s);
        const Done done = [self = self(), piece](beast::error_code error, std::size_t) {
            FilePart& part = *self->answer_.file;
            part.offset += piece->size();
            part.bytes -= piece->size();
            if (error || part.bytes == 0) return self->written(error);
            self->read_piece();
        };
        net::async_write(stream_, net::buffer(*piece), done);
    }

    void written(beast::error_code error) {
        answer_ = {};
        if (failed(error)) return;
        if (!keep_alive_) return finish();
        wait_for_request(core_.page.idle_s);
    }

    void close_now() { beast::get_lowest_layer(stream_).close(); }

    void finish() {
        if constexpr (kTls) {
            within(core_.page.header_s);
            stream_.async_shutdown([self = self()](beast::error_code) { self->close_now(); });
        } else {
            beast::error_code ignored;
            stream_.socket().shutdown(tcp::socket::shutdown_send, ignored);
        }
    }

    ServerCore& core_;
    std::shared_ptr<Place> place_;
    Stream stream_;
    std::string address_;
    beast::flat_buffer read_{kLongestHeader + kLongestBody};
    std::optional<Parser> parser_;
    WebAnswer answer_;
    bool keep_alive_ = false;
    bool head_ = false;
};

} // namespace quietpass
