#include "tests/end_to_end/program.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <thread>

namespace quietpass::test {

namespace {

constexpr std::chrono::seconds kLongestRun{120};
constexpr std::chrono::seconds kPatience{60};

pid_t start(const std::vector<std::string>& words, const Environment& environment,
            const std::filesystem::path& out, const std::filesystem::path& err) {
    const pid_t pid = fork();
    if (pid != 0) return pid;
    const int out_file = open(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    const int err_file = open(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0644);
    const int in_file = open("/dev/null", O_RDONLY);
    dup2(in_file, STDIN_FILENO);
    dup2(out_file, STDOUT_FILENO);
    dup2(err_file, STDERR_FILENO);
    for (const auto& [name, value] : environment) setenv(name.c_str(), value.c_str(), 1);
    std::vector<char*> argv;
    for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    execv(argv[0], argv.data());
    _exit(127);
}

int exit_code_of(int status) {
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

} // namespace

std::string quietpass_program() {
    return QUIETPASS_PROGRAM;
}

Background::Background(const std::vector<std::string>& words, const Environment& environment,
                       std::filesystem::path out, std::filesystem::path err)
    : out_(std::move(out)), err_(std::move(err)) {
    pid_ = start(words, environment, out_, err_);
}

Background::~Background() {
    if (pid_ <= 0) return;
    kill(pid_, SIGKILL);
    waitpid(pid_, nullptr, 0);
}

void Background::signal(int number) const {
    if (pid_ > 0) kill(pid_, number);
}

bool Background::running() {
    if (pid_ <= 0) return false;
    int status = 0;
    if (waitpid(pid_, &status, WNOHANG) == 0) return true;
    exit_code_ = exit_code_of(status);
    pid_ = -1;
    return false;
}

int Background::wait() {
    const auto deadline = std::chrono::steady_clock::now() + kLongestRun;
    while (running()) {
        if (std::chrono::steady_clock::now() > deadline) {
            kill(pid_, SIGKILL);
            waitpid(pid_, nullptr, 0);
            pid_ = -1;
            FAIL("a program did not end in time; it said: " << err());
        }
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return exit_code_;
}

std::string Background::out() const {
    return text_of(out_);
}
std::string Background::err() const {
    return text_of(err_);
}

Outcome run_program(const std::vector<std::string>& words, const Environment& environment) {
    const TestFolder folder;
    Background program(words, environment, folder / "out", folder / "err");
    Outcome outcome;
    outcome.exit_code = program.wait();
    outcome.out = program.out();
    outcome.err = program.err();
    return outcome;
}

bool wait_until(const std::function<bool()>& holds) {
    const auto deadline = std::chrono::steady_clock::now() + kPatience;
    while (!holds()) {
        if (std::chrono::steady_clock::now() > deadline) return false;
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return true;
}

std::string text_of(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), std::istreambuf_iterator<char>()};
}

void write_text(const std::filesystem::path& file, const std::string& text) {
    std::ofstream(file, std::ios::binary) << text;
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::string::size_type at = 0;
    while (at < text.size()) {
        const auto end = text.find('\n', at);
        lines.push_back(text.substr(at, end - at));
        if (end == std::string::npos) break;
        at = end + 1;
    }
    return lines;
}

std::filesystem::path testdata() {
    return TESTDATA;
}

std::filesystem::path made_shift(const std::string& name) {
    return std::filesystem::path(MADE_SHIFTS) / name;
}

} // namespace quietpass::test
