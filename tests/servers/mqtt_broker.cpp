#include "tests/servers/mqtt_broker.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <mosquitto.h>
#include <signal.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <stdexcept>
#include <thread>
#include <utility>
#include <vector>

extern char** environ;

namespace quietpass::test {

namespace {

using Time = std::chrono::steady_clock;
using namespace std::chrono_literals;

constexpr auto kPatience = 1min;

sockaddr_in at_loopback(int port) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    return address;
}

int free_port() {
    const int taken = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address = at_loopback(0);
    socklen_t size = sizeof address;
    bind(taken, reinterpret_cast<sockaddr*>(&address), size);
    getsockname(taken, reinterpret_cast<sockaddr*>(&address), &size);
    close(taken);
    return ntohs(address.sin_port);
}

bool takes_connections(int port) {
    const int tried = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const sockaddr_in address = at_loopback(port);
    const bool taken = connect(tried, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
    close(tried);
    return taken;
}

// A process of its own with what it says in a file.
pid_t begin(std::vector<std::string> words, const std::string& log) {
    posix_spawn_file_actions_t actions{};
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, log.c_str(), O_WRONLY | O_CREAT | O_TRUNC,
                                     0600);
    posix_spawn_file_actions_addclosefrom_np(&actions, STDERR_FILENO + 1);
    std::vector<char*> pointers;
    for (std::string& word : words) pointers.push_back(word.data());
    pointers.push_back(nullptr);
    pid_t process = -1;
    const int failed = posix_spawn(&process, pointers[0], &actions, nullptr, pointers.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (failed != 0) throw std::runtime_error("no " + words[0]);
    return process;
}

} // namespace

MqttBroker::MqttBroker(Doors doors) : doors_(std::move(doors)), port_(free_port()) {
    std::string conf =
        "per_listener_settings true\nuser root\nlog_dest stderr\nlog_type all\n"
        "persistence true\npersistence_location " +
        folder_.path("") + "\n";
    const auto open = [&conf](int port, const std::string& rest) {
        conf += "listener " + std::to_string(port) + " 127.0.0.1\n" + rest;
    };
    open(port_, who_may(doors_.only, "passwords"));
    if (doors_.tls) {
        do tls_port_ = free_port();
        while (tls_port_ == port_);
        const TlsIdentity& identity = doors_.tls->identity;
        open(tls_port_, who_may(doors_.tls->only, "tls-passwords") + "certfile " + identity.certificate +
                            "\nkeyfile " + identity.key + "\n");
    }
    folder_.write("broker.conf", conf);
    start();
}

MqttBroker::~MqttBroker() {
    kill();
}

std::string MqttBroker::who_may(const std::optional<Person>& only, const std::string& name) {
    if (!only) return "allow_anonymous true\n";
    const std::string file = folder_.write(name, "");
    int status = 0;
    waitpid(begin({MOSQUITTO_PASSWD, "-b", file, only->user, only->password}, folder_.path("passwd.log")),
            &status, 0);
    if (status != 0) throw std::runtime_error("mosquitto_passwd makes no password");
    return "allow_anonymous false\npassword_file " + file + "\n";
}

void MqttBroker::start() {
    end(SIGKILL);
    process_ = begin({MOSQUITTO_PROGRAM, "-c", folder_.path("broker.conf")}, folder_.path("broker.log"));
    const auto give_up = Time::now() + kPatience;
    while (!takes_connections(port_) || (tls_port_ != 0 && !takes_connections(tls_port_))) {
        if (Time::now() > give_up || waitpid(process_, nullptr, WNOHANG) != 0) {
            throw std::runtime_error("no MQTT broker runs here; install mosquitto\n" + log());
        }
        std::this_thread::sleep_for(5ms);
    }
}

void MqttBroker::end(int signal) {
    if (process_ <= 0) return;
    ::kill(process_, signal);
    ::kill(process_, SIGCONT);
    waitpid(process_, nullptr, 0);
    process_ = -1;
}

void MqttBroker::kill() {
    end(SIGKILL);
}

void MqttBroker::stop() {
    end(SIGTERM);
}

void MqttBroker::freeze(bool on) {
    ::kill(process_, on ? SIGSTOP : SIGCONT);
}

std::string MqttBroker::log() const {
    return folder_.text("broker.log");
}

void MqttBroker::publish(const std::string& topic, const std::string& payload, bool retained) {
    mosquitto_lib_init();
    bool arrived = false;
    mosquitto* const device = mosquitto_new(nullptr, true, &arrived);
    mosquitto_publish_callback_set(device,
                                   [](mosquitto*, void* flag, int) { *static_cast<bool*>(flag) = true; });
    if (const auto& person = doors_.only)
        mosquitto_username_pw_set(device, person->user.c_str(), person->password.c_str());
    mosquitto_connect(device, "127.0.0.1", port_, 60);
    mosquitto_publish(device, nullptr, topic.c_str(), static_cast<int>(payload.size()), payload.data(), 1,
                      retained);
    const auto give_up = Time::now() + kPatience;
    while (!arrived && Time::now() < give_up) mosquitto_loop(device, 10, 1);
    mosquitto_disconnect(device);
    mosquitto_destroy(device);
    if (!arrived) throw std::runtime_error(topic + ": could not be published");
}

} // namespace quietpass::test
