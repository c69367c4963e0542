#include "daemon/mqtt/mqtt_tls.h"

#include <mosquitto.h>

namespace quietpass {

namespace {
constexpr const char* kSystemAuthorities = "/etc/ssl/certs";
constexpr int kVerifyBroker = 1; // SSL_VERIFY_PEER
} // namespace

int use_tls(mosquitto* client, const std::string& ca_file) {
    const bool own = !ca_file.empty();
    const int code = mosquitto_tls_set(client, own ? ca_file.c_str() : nullptr,
                                       own ? nullptr : kSystemAuthorities, nullptr, nullptr, nullptr);
    return code != MOSQ_ERR_SUCCESS ? code
                                    : mosquitto_tls_opts_set(client, kVerifyBroker, "tlsv1.2", nullptr);
}

} // namespace quietpass
