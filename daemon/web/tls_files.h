// The page's certificate and key: those given, or OUT/key/page.crt and page.key (0600), made when they aren't
// there: P-256, self-signed, for this machine's name and the page's address, ten years. Whoever trusts a
// self-signed one compares its fingerprint once.
//
// Set-up only. Errors: Failure, exit 2 for files that are no certificate or don't fit, 1 for the disk.
#pragma once

#include <filesystem>
#include <string>

#include "daemon/settings/page_settings.h"

namespace quietpass {

struct TlsFiles {
    std::string certificate; // PEM, with its chain
    std::string key;         // PEM
    std::string fingerprint; // SHA-256 of the certificate, "AB:CD:…"
    bool own = false;        // self-signed by this program
};

TlsFiles tls_files(const PageSettings& page, const std::filesystem::path& out);

} // namespace quietpass
