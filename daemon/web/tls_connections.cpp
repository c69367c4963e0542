#include <boost/beast/ssl.hpp>
#include <boost/beast/websocket/ssl.hpp>

#include "daemon/web/http_connection.h"

namespace quietpass {

void serve_over_tls(ServerCore& core, std::shared_ptr<Place> place, Socket socket, std::string address) {
    using Stream = beast::ssl_stream<TcpStream>;
    std::make_shared<HttpConnection<Stream>>(core, std::move(place), Stream(std::move(socket), *core.tls),
                                             std::move(address))
        ->start();
}

} // namespace quietpass
