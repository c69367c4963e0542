#include "daemon/ledger/station_key.h"

#include <fcntl.h>
#include <sodium.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <system_error>
#include <utility>

#include "daemon/failure.h"
#include "daemon/ledger/ed25519.h"

namespace quietpass {
namespace {

constexpr std::string_view kKeyMark = "quietpass-station-key-1 ";
constexpr std::size_t kLength = kKeyMark.size() + 64 + 1;

[[noreturn]] void fail(const std::filesystem::path& file, int exit_code, const std::string& what) {
    throw Failure(exit_code, "station key " + file.string() + ": " + what);
}

[[noreturn]] void fail_of_disk(const std::filesystem::path& file, const std::string& what) {
    fail(file, kExitFailure,
         what + " (" + std::generic_category().message(errno) + "); check its folder and the disk");
}

std::filesystem::path folder_of(const std::filesystem::path& file) {
    return file.parent_path().empty() ? "." : file.parent_path();
}

void check_closed_to_others(const std::filesystem::path& file, const struct stat& state,
                            const std::string& what, const std::string& mode) {
    if (state.st_uid != geteuid())
        fail(file, kExitUsage, what + " belongs to another user; run as that one, or chown it");
    if ((state.st_mode & 077) != 0)
        fail(file, kExitUsage,
             what + " is open to others; chmod " + mode + " and ask who could have read it");
}

void check_folder(const std::filesystem::path& file) {
    struct stat state {};
    if (stat(folder_of(file).c_str(), &state) != 0) fail_of_disk(file, "its folder can't be looked at");
    check_closed_to_others(file, state, "its folder", "700");
}

struct OpenFile {
    explicit OpenFile(int number) : file(number) {}
    ~OpenFile() {
        if (file >= 0) close(file);
    }
    OpenFile(const OpenFile&) = delete;
    OpenFile& operator=(const OpenFile&) = delete;
    int file;
};

void sync_folder(const std::filesystem::path& file) {
    const OpenFile folder(open(folder_of(file).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
    if (folder.file < 0 || fsync(folder.file) != 0) fail_of_disk(file, "its folder can't be synced");
}

void write_new(const std::filesystem::path& file, const std::string& text) {
    const OpenFile out(open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600));
    if (out.file < 0) fail_of_disk(file, "can't be made");
    const auto size = static_cast<ssize_t>(text.size());
    if (write(out.file, text.data(), text.size()) == size && fsync(out.file) == 0) return;
    const int error = errno;
    unlink(file.c_str()); // half a key would stop the next start
    errno = error;
    fail_of_disk(file, "can't be written");
}

// The public half is libsodium's last 32 bytes of the secret.
std::string hex(const unsigned char* bytes, std::size_t size) {
    std::string text(2 * size + 1, '\0');
    sodium_bin2hex(text.data(), text.size(), bytes, size);
    text.pop_back();
    return text;
}

} // namespace

StationKey::StationKey(const Seed& seed) {
    std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> public_bytes{};
    crypto_sign_seed_keypair(public_bytes.data(), secret_.data(), seed.data());
    public_key_ = hex(public_bytes.data(), public_bytes.size());
    id_ = key_id_of(public_key_);
}

StationKey::StationKey(StationKey&& other) noexcept
    : secret_(other.secret_), public_key_(std::move(other.public_key_)), id_(std::move(other.id_)) {
    other.wipe();
}

StationKey& StationKey::operator=(StationKey&& other) noexcept {
    if (this == &other) return *this;
    secret_ = other.secret_;
    public_key_ = std::move(other.public_key_);
    id_ = std::move(other.id_);
    other.wipe();
    return *this;
}

StationKey::~StationKey() {
    wipe();
}

void StationKey::wipe() {
    sodium_memzero(secret_.data(), secret_.size());
}

std::string StationKey::sign(std::string_view bytes) const {
    std::array<unsigned char, crypto_sign_BYTES> signature{};
    crypto_sign_detached(signature.data(), nullptr, reinterpret_cast<const unsigned char*>(bytes.data()),
                         bytes.size(), secret_.data());
    return hex(signature.data(), signature.size());
}

StationKey StationKey::make(const std::filesystem::path& file) {
    if (sodium_init() < 0) fail(file, kExitFailure, "the system gives no random numbers; start again later");
    std::error_code error;
    if (std::filesystem::create_directories(folder_of(file), error) &&
        chmod(folder_of(file).c_str(), 0700) != 0)
        fail_of_disk(file, "its folder can't be closed to others");
    check_folder(file);
    Seed seed{};
    randombytes_buf(seed.data(), seed.size());
    std::string text(kKeyMark);
    text += hex(seed.data(), seed.size()) + "\n";
    write_new(file, text);
    sync_folder(file);
    StationKey key(seed);
    sodium_memzero(seed.data(), seed.size());
    sodium_memzero(text.data(), text.size());
    return key;
}

StationKey StationKey::load(const std::filesystem::path& file) {
    const OpenFile in(open(file.c_str(), O_RDONLY | O_CLOEXEC));
    if (in.file < 0) fail_of_disk(file, "can't be read");
    struct stat state {};
    if (fstat(in.file, &state) != 0) fail_of_disk(file, "can't be looked at");
    check_closed_to_others(file, state, "it", "600");
    check_folder(file);
    std::array<char, kLength + 1> text{};
    const ssize_t got = read(in.file, text.data(), text.size());
    if (got < 0) fail_of_disk(file, "can't be read");
    Seed seed{};
    const bool good = static_cast<std::size_t>(got) == kLength && text[kLength - 1] == '\n' &&
                      std::string_view(text.data(), kKeyMark.size()) == kKeyMark &&
                      sodium_hex2bin(seed.data(), seed.size(), text.data() + kKeyMark.size(), 64, nullptr,
                                     nullptr, nullptr) == 0;
    sodium_memzero(text.data(), text.size());
    if (!good) fail(file, kExitUsage, "is no key file; put the station's own back, or move this one away");
    StationKey key(seed);
    sodium_memzero(seed.data(), seed.size());
    return key;
}

} // namespace quietpass
