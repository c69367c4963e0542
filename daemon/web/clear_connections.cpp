#include "daemon/web/http_connection.h"

namespace quietpass {

void serve_in_the_clear(ServerCore& core, std::shared_ptr<Place> place, Socket socket, std::string address) {
    std::make_shared<HttpConnection<TcpStream>>(core, std::move(place), TcpStream(std::move(socket)),
                                                std::move(address))
        ->start();
}

} // namespace quietpass
