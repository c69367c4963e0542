#include <openssl/bio.h>
#include <openssl/pem.h>
#include <openssl/x509.h>

#include <cstdio>
#include <fstream>
#include <iterator>
#include <memory>

#include "daemon/checks/outside.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

constexpr double kSoon_days = 30.0; // common practice

using Certificate = std::unique_ptr<X509, decltype(&X509_free)>;
using Key = std::unique_ptr<EVP_PKEY, decltype(&EVP_PKEY_free)>;
using Bytes = std::unique_ptr<BIO, decltype(&BIO_free)>;

std::string text_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

Bytes reader_of(const std::string& text) {
    return {BIO_new_mem_buf(text.data(), static_cast<int>(text.size())), BIO_free};
}

CheckLine line(CheckState state, const std::string& words, const std::string& to_do = "") {
    return {state, "certificate", words, to_do};
}

} // namespace

CheckLines check_certificate(const StationSettings& settings, const std::filesystem::path& out,
                             std::int64_t utc_ns) {
    const PageSettings& page = settings.page;
    if (!page.on || !page.tls) return {};
    const bool own = page.certificate.empty();
    const std::filesystem::path file =
        own ? out / "key" / "page.crt" : std::filesystem::path(page.certificate);
    const std::filesystem::path key_file = own ? out / "key" / "page.key" : std::filesystem::path(page.key);
    if (own && !std::filesystem::exists(file))
        return {line(CheckState::kLook, "none yet", "the first `quietpass run` makes one")};
    const std::string text = text_of(file);
    const std::string key_text = text_of(key_file);
    const Bytes bytes = reader_of(text);
    const Bytes key_bytes = reader_of(key_text);
    const Certificate certificate(PEM_read_bio_X509(bytes.get(), nullptr, nullptr, nullptr), X509_free);
    const Key key(PEM_read_bio_PrivateKey(key_bytes.get(), nullptr, nullptr, nullptr), EVP_PKEY_free);
    if (!certificate)
        return {line(CheckState::kBad, file.string() + " is no certificate this user can read",
                     "give a PEM file")};
    if (!key)
        return {
            line(CheckState::kBad, key_file.string() + " is no key this user can read", "give a PEM file")};
    if (X509_check_private_key(certificate.get(), key.get()) != 1)
        return {line(CheckState::kBad, "certificate and key don't fit each other",
                     "give the two that were made together")};

    int days = 0;
    int seconds = 0;
    const std::unique_ptr<ASN1_TIME, decltype(&ASN1_TIME_free)> now(
        ASN1_TIME_set(nullptr, static_cast<time_t>(utc_ns / 1'000'000'000)), ASN1_TIME_free);
    if (ASN1_TIME_diff(&days, &seconds, now.get(), X509_get0_notAfter(certificate.get())) != 1)
        return {line(CheckState::kBad, "its end can't be read", "give another certificate")};
    const double left_days = days + seconds / 86400.0;
    char words[96];
    std::snprintf(words, sizeof words, left_days < 0 ? "ended %.0f days ago" : "good for %.0f more days",
                  left_days < 0 ? -left_days : left_days);
    const std::string to_do =
        own ? "delete key/page.crt and key/page.key in the records' folder, then restart"
            : "have it renewed, then reload the settings";
    if (left_days < 0) return {line(CheckState::kBad, words, to_do)};
    if (left_days < kSoon_days) return {line(CheckState::kLook, words, to_do)};
    return {line(CheckState::kGood, words)};
}

} // namespace quietpass
