// Certificates for servers of tests: an authority of the test's own and a server's certificate by it, as PEM
// files in a folder. Tests only.
#pragma once

#include <filesystem>
#include <string>

namespace quietpass::test {

struct TlsIdentity {
    std::string authority;   // certificate
    std::string certificate; // of the server
    std::string key;
};

// name: what the server is called, an IP address or a host name.
TlsIdentity make_tls_identity(const std::filesystem::path& folder, const std::string& name);

} // namespace quietpass::test
