#include "daemon/alarms/delivery/command_channel.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <vector>

#include "daemon/alarms/delivery/message_json.h"
#include "daemon/records/utc_text.h"

namespace quietpass {

namespace {

using RealTime = std::chrono::steady_clock;

class OwnedFile {
  public:
    explicit OwnedFile(int file) : file_(file) {}
    ~OwnedFile() {
        if (file_ >= 0) close(file_);
    }
    OwnedFile(const OwnedFile&) = delete;
    OwnedFile& operator=(const OwnedFile&) = delete;
    int number() const { return file_; }

  private:
    int file_;
};

// A file in memory: the program reads it when it likes, and nobody waits for a pipe.
int file_holding(const std::string& bytes) {
    const int file = memfd_create("quietpass alarm", MFD_CLOEXEC);
    if (file < 0) return file;
    std::size_t at = 0;
    while (at < bytes.size()) {
        const ssize_t written = write(file, bytes.data() + at, bytes.size() - at);
        if (written <= 0) break;
        at += static_cast<std::size_t>(written);
    }
    lseek(file, 0, SEEK_SET);
    return file;
}

// "held for" → "HELD_FOR".
std::string variable_word(const std::string& name) {
    std::string word;
    for (const char letter : name) {
        const bool lower = letter >= 'a' && letter <= 'z';
        const bool plain = (letter >= 'A' && letter <= 'Z') || (letter >= '0' && letter <= '9');
        word += lower ? static_cast<char>(letter - 'a' + 'A') : plain ? letter : '_';
    }
    return word;
}

std::vector<std::string> environment_of(const AlarmMessage& message) {
    std::vector<std::string> variables;
    // The rest of the daemon's environment is none of the program's business.
    for (const char* const name : {"PATH", "HOME", "LANG", "LC_ALL", "TZ", "USER"}) {
        if (const char* const value = std::getenv(name))
            variables.push_back(std::string(name) + "=" + value); // NOLINT(concurrency-mt-unsafe)
    }
    const auto add = [&variables](const std::string& name, std::string value) {
        std::erase(value, '\0');
        variables.push_back("QUIETPASS_" + name + "=" + value);
    };
    add("ID", message.id);
    add("ALARM", message.alarm);
    add("CAUSE", message.cause);
    add("EVENT", message.event);
    add("STATION", message.station);
    add("AT", utc_text(message.utc_ns));
    add("SEVERITY", message.severity);
    add("COUNT", std::to_string(message.count));
    add("HEADLINE", message.headline);
    add("TEXT", message.text);
    for (const auto& [name, value] : message.facts) add("FACT_" + variable_word(name), value);
    return variables;
}

std::vector<char*> pointers_to(std::vector<std::string>& words) {
    std::vector<char*> pointers;
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    return pointers;
}

class SpawnWishes {
  public:
    explicit SpawnWishes(int standard_input) {
        posix_spawn_file_actions_init(&actions_);
        posix_spawn_file_actions_adddup2(&actions_, standard_input, STDIN_FILENO);
        posix_spawn_file_actions_addopen(&actions_, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
        posix_spawn_file_actions_addclosefrom_np(&actions_, STDERR_FILENO + 1);
        posix_spawnattr_init(&attributes_);
        // A process group of its own, so that all of it can be killed; the signals as a program expects them.
        sigset_t all{};
        sigset_t none{};
        sigfillset(&all);
        sigemptyset(&none);
        posix_spawnattr_setsigdefault(&attributes_, &all);
        posix_spawnattr_setsigmask(&attributes_, &none);
        posix_spawnattr_setpgroup(&attributes_, 0);
        posix_spawnattr_setflags(&attributes_,
                                 POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETSIGMASK);
    }
    ~SpawnWishes() {
        posix_spawn_file_actions_destroy(&actions_);
        posix_spawnattr_destroy(&attributes_);
    }
    SpawnWishes(const SpawnWishes&) = delete;
    SpawnWishes& operator=(const SpawnWishes&) = delete;

    const posix_spawn_file_actions_t* actions() const { return &actions_; }
    const posix_spawnattr_t* attributes() const { return &attributes_; }

  private:
    posix_spawn_file_actions_t actions_{};
    posix_spawnattr_t attributes_{};
};

// True when the process ended by itself in time. It is not collected yet.
bool ends_by(pid_t process, RealTime::time_point deadline, const std::atomic<bool>& stop) {
    const OwnedFile watch(static_cast<int>(syscall(SYS_pidfd_open, process, 0)));
    while (!stop.load() && RealTime::now() < deadline) {
        siginfo_t ended{};
        if (waitid(P_PID, static_cast<id_t>(process), &ended, WEXITED | WNOHANG | WNOWAIT) == 0 &&
            ended.si_pid == process) {
            return true;
        }
        // Without pidfd (before Linux 5.3) this is a short sleep.
        pollfd waits{watch.number(), POLLIN, 0};
        poll(&waits, 1, watch.number() >= 0 ? 100 : 10);
    }
    return false;
}

} // namespace

CommandChannel::CommandChannel(CommandSettings settings, double within_s)
    : settings_(std::move(settings)), within_s_(within_s) {}

HandOver CommandChannel::hand_over(const AlarmMessage& message, const std::atomic<bool>& stop) {
    const OwnedFile input(file_holding(message_json(message)));
    if (input.number() < 0) return HandOver::unreachable(std::strerror(errno));
    std::vector<std::string> words = {settings_.program};
    words.insert(words.end(), settings_.arguments.begin(), settings_.arguments.end());
    std::vector<std::string> variables = environment_of(message);
    const SpawnWishes wishes(input.number());
    pid_t process = 0;
    const int failed = posix_spawn(&process, settings_.program.c_str(), wishes.actions(), wishes.attributes(),
                                   pointers_to(words).data(), pointers_to(variables).data());
    if (failed != 0) return HandOver::unreachable(std::strerror(failed));

    const auto deadline = RealTime::now() + std::chrono::duration_cast<RealTime::duration>(
                                                std::chrono::duration<double>(within_s_));
    const bool ended = ends_by(process, deadline, stop);
    // Before the leader is collected, so that the group's number can't be another's yet.
    if (!ended) kill(-process, SIGKILL);
    int status = 0;
    while (waitpid(process, &status, 0) < 0 && errno == EINTR) {
    }
    if (!ended) return HandOver::unreachable("did not end in time and was killed");
    if (WIFSIGNALED(status))
        return HandOver::refused("was killed by signal " + std::to_string(WTERMSIG(status)));
    const int code = WEXITSTATUS(status);
    return code == 0 ? HandOver::done("exit 0")
                     : HandOver::refused("ended with exit " + std::to_string(code));
}

} // namespace quietpass
