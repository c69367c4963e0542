#include "daemon/web/tls_files.h"

#include <fcntl.h>
#include <openssl/bio.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/rand.h>
#include <openssl/x509.h>
#include <openssl/x509v3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <fstream>
#include <iterator>
#include <memory>

#include "daemon/failure.h"

namespace quietpass {

namespace {

template <auto Free>
struct Freed {
    template <typename T>
    void operator()(T* pointer) const {
        Free(pointer);
    }
};
using Key = std::unique_ptr<EVP_PKEY, Freed<EVP_PKEY_free>>;
using Certificate = std::unique_ptr<X509, Freed<X509_free>>;
using Bio = std::unique_ptr<BIO, Freed<BIO_free_all>>;

constexpr long kTenYears_s = 3650L * 86400L;

[[noreturn]] void cant_make() {
    throw Failure(kExitFailure, "[page]: no certificate could be made; give certificate and key");
}

std::string text_in(BIO* bio) {
    char* bytes = nullptr;
    const long size = BIO_get_mem_data(bio, &bytes);
    return {bytes, static_cast<std::size_t>(size)};
}

std::string host_name() {
    std::array<char, 256> name{};
    if (gethostname(name.data(), name.size() - 1) != 0) return "localhost";
    return name.data();
}

void add_extension(X509* certificate, int kind, const std::string& value) {
    X509V3_CTX context;
    X509V3_set_ctx_nodb(&context);
    X509V3_set_ctx(&context, certificate, certificate, nullptr, nullptr, 0);
    const std::unique_ptr<X509_EXTENSION, Freed<X509_EXTENSION_free>> extension(
        X509V3_EXT_conf_nid(nullptr, &context, kind, value.c_str()));
    if (!extension || X509_add_ext(certificate, extension.get(), -1) != 1) cant_make();
}

Certificate self_signed(EVP_PKEY* key, const std::string& address) {
    Certificate certificate(X509_new());
    if (!certificate) cant_make();
    std::array<unsigned char, 16> serial{};
    RAND_bytes(serial.data(), static_cast<int>(serial.size()));
    serial[0] &= 0x7f;
    const std::unique_ptr<BIGNUM, Freed<BN_free>> number(
        BN_bin2bn(serial.data(), static_cast<int>(serial.size()), nullptr));
    X509_set_version(certificate.get(), X509_VERSION_3);
    BN_to_ASN1_INTEGER(number.get(), X509_get_serialNumber(certificate.get()));
    X509_gmtime_adj(X509_getm_notBefore(certificate.get()), -86400L); // clocks of tablets run behind
    X509_gmtime_adj(X509_getm_notAfter(certificate.get()), kTenYears_s);
    X509_set_pubkey(certificate.get(), key);
    const std::string name = host_name();
    X509_NAME* const subject = X509_get_subject_name(certificate.get());
    X509_NAME_add_entry_by_txt(subject, "CN", MBSTRING_UTF8,
                               reinterpret_cast<const unsigned char*>(name.substr(0, 64).c_str()), -1, -1, 0);
    X509_set_issuer_name(certificate.get(), subject);
    std::string names = "DNS:" + name + ",DNS:localhost,IP:127.0.0.1,IP:::1";
    const bool special = address == "0.0.0.0" || address == "::" || is_loopback(address);
    if (!special) names += ",IP:" + address;
    add_extension(certificate.get(), NID_subject_alt_name, names);
    add_extension(certificate.get(), NID_basic_constraints, "critical,CA:FALSE");
    add_extension(certificate.get(), NID_ext_key_usage, "serverAuth");
    if (X509_sign(certificate.get(), key, EVP_sha256()) == 0) cant_make();
    return certificate;
}

// Never readable by others, not for a moment; whole or not there.
void write_secret(const std::filesystem::path& file, const std::string& bytes, mode_t mode) {
    const std::filesystem::path aside = file.string() + ".new";
    const int descriptor = open(aside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, mode);
    const bool written =
        descriptor >= 0 && fchmod(descriptor, mode) == 0 &&
        write(descriptor, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size()) &&
        fsync(descriptor) == 0;
    if (descriptor >= 0) close(descriptor);
    if (!written || rename(aside.c_str(), file.c_str()) != 0) {
        throw Failure(kExitFailure, file.string() + ": can't be written; check the folder and the disk");
    }
}

void make_own(const std::filesystem::path& folder, const std::string& address) {
    std::error_code error;
    if (std::filesystem::create_directories(folder, error))
        std::filesystem::permissions(folder, std::filesystem::perms::owner_all, error);
    const Key key(EVP_EC_gen("P-256"));
    if (!key) cant_make();
    const Certificate certificate = self_signed(key.get(), address);
    const Bio key_text(BIO_new(BIO_s_mem()));
    const Bio certificate_text(BIO_new(BIO_s_mem()));
    PEM_write_bio_PKCS8PrivateKey(key_text.get(), key.get(), nullptr, nullptr, 0, nullptr, nullptr);
    PEM_write_bio_X509(certificate_text.get(), certificate.get());
    write_secret(folder / "page.key", text_in(key_text.get()), 0600);
    write_secret(folder / "page.crt", text_in(certificate_text.get()), 0644);
}

std::string bytes_of(const std::string& file) {
    std::ifstream stream(file, std::ios::binary);
    if (!stream) throw Failure(kExitUsage, file + ": can't be read; [page] names it");
    return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

// Fails on what the server could not use, so that it is told at the start and in words.
std::string checked_fingerprint(const TlsFiles& files, const std::string& certificate_file,
                                const std::string& key_file) {
    const Bio bio(BIO_new_mem_buf(files.certificate.data(), static_cast<int>(files.certificate.size())));
    const Certificate certificate(PEM_read_bio_X509(bio.get(), nullptr, nullptr, nullptr));
    if (!certificate) throw Failure(kExitUsage, certificate_file + ": expected a certificate in PEM");
    const Bio key_bio(BIO_new_mem_buf(files.key.data(), static_cast<int>(files.key.size())));
    const Key key(PEM_read_bio_PrivateKey(
        key_bio.get(), nullptr, [](char*, int, int, void*) { return 0; }, nullptr));
    if (!key) throw Failure(kExitUsage, key_file + ": expected a key in PEM, without a password");
    if (X509_check_private_key(certificate.get(), key.get()) != 1) {
        throw Failure(kExitUsage, key_file + ": is not the key of " + certificate_file);
    }
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned int size = 0;
    X509_digest(certificate.get(), EVP_sha256(), digest.data(), &size);
    constexpr std::string_view kHex = "0123456789ABCDEF";
    std::string text;
    for (unsigned int i = 0; i < size; ++i) {
        if (i > 0) text += ':';
        text += kHex[digest[i] >> 4U];
        text += kHex[digest[i] & 15U];
    }
    return text;
}

} // namespace

TlsFiles tls_files(const PageSettings& page, const std::filesystem::path& out) {
    TlsFiles files;
    std::string certificate = page.certificate;
    std::string key = page.key;
    if (certificate.empty()) {
        files.own = true;
        const std::filesystem::path folder = out / "key";
        certificate = folder / "page.crt";
        key = folder / "page.key";
        std::error_code ignored;
        const bool there =
            std::filesystem::exists(certificate, ignored) && std::filesystem::exists(key, ignored);
        if (!there) make_own(folder, page.address);
    }
    files.certificate = bytes_of(certificate);
    files.key = bytes_of(key);
    files.fingerprint = checked_fingerprint(files, certificate, key);
    return files;
}

} // namespace quietpass
