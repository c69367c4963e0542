// The station's Ed25519 key: its file, and signing with it. The secret is wiped from memory at the end.
//
// The file: one line, "quietpass-station-key-1 " and the 32 bytes of the seed in hex. It must be this user's
// with no access for anybody else (0600 or less), in a folder that is the same (0700).
//
// Errors: Failure, one line, exit 2 for loose permissions and for what is no key file, 1 for the disk; never
// with anything from inside the file. Set-up; signing from one thread at a time.
#pragma once

#include <array>
#include <filesystem>
#include <string>
#include <string_view>

namespace quietpass {

class StationKey {
  public:
    // A new key in a new file, with its folder where that is missing; on the disk when it returns.
    static StationKey make(const std::filesystem::path& file);
    static StationKey load(const std::filesystem::path& file);

    ~StationKey();
    StationKey(StationKey&& other) noexcept;
    StationKey& operator=(StationKey&& other) noexcept;

    const std::string& id() const { return id_; }
    const std::string& public_key() const { return public_key_; } // hex
    std::string sign(std::string_view bytes) const;               // hex

  private:
    using Seed = std::array<unsigned char, 32>;
    explicit StationKey(const Seed& seed);
    void wipe();

    std::array<unsigned char, 64> secret_{};
    std::string public_key_;
    std::string id_;
};

} // namespace quietpass
