#include "daemon/web/http_connection.h"

namespace quietpass {

void serve_in_the_clear(ServerCore& core, std::shared_ptr<Place> place, tcp::socket socket,
                        std::string address) {
    std::make_shared<HttpConnection<beast::tcp_stream>>(
        core, std::move(place), beast::tcp_stream(std::move(socket)), std::move(address))
        ->start();
}

} // namespace quietpass
