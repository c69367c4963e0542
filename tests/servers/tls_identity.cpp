#include "tests/servers/tls_identity.h"

#include <openssl/ec.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/x509v3.h>

#include <cstdio>
#include <memory>
#include <stdexcept>

namespace quietpass::test {

namespace {

template <auto Free>
struct Freeing {
    template <typename T>
    void operator()(T* thing) const {
        Free(thing);
    }
};
using Key = std::unique_ptr<EVP_PKEY, Freeing<EVP_PKEY_free>>;
using Certificate = std::unique_ptr<X509, Freeing<X509_free>>;

void add_extension(X509* certificate, X509* issuer, int kind, const std::string& value) {
    X509V3_CTX context;
    X509V3_set_ctx_nodb(&context);
    X509V3_set_ctx(&context, issuer, certificate, nullptr, nullptr, 0);
    const std::unique_ptr<X509_EXTENSION, Freeing<X509_EXTENSION_free>> extension(
        X509V3_EXT_conf_nid(nullptr, &context, kind, value.c_str()));
    if (!extension || X509_add_ext(certificate, extension.get(), -1) != 1) {
        throw std::runtime_error("no extension " + value);
    }
}

Certificate make(EVP_PKEY* key, const std::string& name, long serial, X509* issuer, EVP_PKEY* issuer_key) {
    Certificate certificate(X509_new());
    X509_set_version(certificate.get(), 2);
    ASN1_INTEGER_set(X509_get_serialNumber(certificate.get()), serial);
    X509_gmtime_adj(X509_getm_notBefore(certificate.get()), -3600);
    X509_gmtime_adj(X509_getm_notAfter(certificate.get()), 24L * 3600);
    X509_NAME_add_entry_by_txt(X509_get_subject_name(certificate.get()), "CN", MBSTRING_ASC,
                               reinterpret_cast<const unsigned char*>(name.c_str()), -1, -1, 0);
    X509* const by = issuer == nullptr ? certificate.get() : issuer;
    X509_set_issuer_name(certificate.get(), X509_get_subject_name(by));
    X509_set_pubkey(certificate.get(), key);
    if (issuer == nullptr) {
        add_extension(certificate.get(), by, NID_basic_constraints, "critical,CA:TRUE");
        add_extension(certificate.get(), by, NID_key_usage, "critical,keyCertSign");
    } else {
        const bool number = name.find_first_not_of("0123456789.") == std::string::npos;
        add_extension(certificate.get(), by, NID_subject_alt_name, (number ? "IP:" : "DNS:") + name);
    }
    if (X509_sign(certificate.get(), issuer_key, EVP_sha256()) == 0) throw std::runtime_error("not signed");
    return certificate;
}

template <typename Write>
std::string write_pem(const std::filesystem::path& file, Write write) {
    const std::unique_ptr<std::FILE, Freeing<std::fclose>> out(std::fopen(file.c_str(), "w"));
    if (!out || write(out.get()) != 1) throw std::runtime_error("can't write " + file.string());
    return file.string();
}

std::string write_certificate(const std::filesystem::path& file, X509* certificate) {
    return write_pem(file, [certificate](std::FILE* out) { return PEM_write_X509(out, certificate); });
}

} // namespace

TlsIdentity make_tls_identity(const std::filesystem::path& folder, const std::string& name) {
    const Key authority_key(EVP_EC_gen("P-256"));
    const Key key(EVP_EC_gen("P-256"));
    const Certificate authority =
        make(authority_key.get(), "test authority", 1, nullptr, authority_key.get());
    const Certificate certificate = make(key.get(), name, 2, authority.get(), authority_key.get());
    std::filesystem::create_directories(folder);
    return {write_certificate(folder / "authority.pem", authority.get()),
            write_certificate(folder / "server.pem", certificate.get()),
            write_pem(folder / "server.key", [&key](std::FILE* out) {
                return PEM_write_PrivateKey(out, key.get(), nullptr, nullptr, 0, nullptr, nullptr);
            })};
}

} // namespace quietpass::test
