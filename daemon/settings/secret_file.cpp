#include "daemon/settings/secret_file.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <vector>

#include "daemon/failure.h"

namespace quietpass {

namespace {

constexpr std::size_t kLongest = 65536;
constexpr std::size_t kShortestKey = 16;

class OpenFile {
  public:
    explicit OpenFile(const std::string& path)
        : file_(open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK)) {}
    ~OpenFile() {
        if (file_ >= 0) close(file_);
    }
    OpenFile(const OpenFile&) = delete;
    OpenFile& operator=(const OpenFile&) = delete;
    int number() const { return file_; }

  private:
    int file_;
};

std::vector<std::string> lines_of(const std::string& path) {
    const OpenFile file(path);
    const auto fail = [&path](const std::string& what) { throw Failure(kExitUsage, path + ": " + what); };
    if (file.number() < 0) fail(std::string("can't be opened (") + std::strerror(errno) + ")");
    struct stat facts {};
    if (fstat(file.number(), &facts) != 0 || !S_ISREG(facts.st_mode)) fail("is no file");
    if (facts.st_uid != geteuid() && facts.st_uid != 0) {
        fail("holds a secret and belongs to another user; chown it to the one that quietpass runs as");
    }
    if ((facts.st_mode & (S_IRWXO | S_IWGRP)) != 0) {
        fail("holds a secret and is open to others; run chmod 600 on it");
    }
    std::string bytes(kLongest, '\0');
    const ssize_t size = read(file.number(), bytes.data(), bytes.size());
    if (size < 0) fail(std::string("can't be read (") + std::strerror(errno) + ")");
    bytes.resize(static_cast<std::size_t>(size));
    std::vector<std::string> lines;
    for (std::size_t from = 0; from < bytes.size();) {
        const std::size_t end = std::min(bytes.find('\n', from), bytes.size());
        std::string line = bytes.substr(from, end - from);
        if (line.ends_with('\r')) line.pop_back();
        lines.push_back(line);
        from = end + 1;
    }
    return lines;
}

} // namespace

Login read_login(const std::string& path) {
    const std::vector<std::string> lines = lines_of(path);
    if (lines.size() != 2 || lines[0].empty() || lines[1].empty()) {
        throw Failure(kExitUsage, path + ": expected two lines, the user and the password");
    }
    return {lines[0], lines[1]};
}

std::string read_signing_key(const std::string& path) {
    const std::vector<std::string> lines = lines_of(path);
    if (lines.size() != 1 || lines[0].size() < kShortestKey) {
        throw Failure(kExitUsage, path + ": expected one line, a key of at least " +
                                      std::to_string(kShortestKey) +
                                      " characters; `openssl rand -hex 32` makes one");
    }
    return lines[0];
}

} // namespace quietpass
