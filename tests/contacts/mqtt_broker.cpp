#include "tests/contacts/mqtt_broker.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <mosquitto.h>
#include <signal.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <thread>
#include <vector>

#include "daemon/failure.h"

namespace quietpass {

namespace {

using Time = std::chrono::steady_clock;
using namespace std::chrono_literals;

constexpr auto kPatience = 20s;

sockaddr_in loopback(int port) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    return address;
}

int free_port() {
    const int taken = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    sockaddr_in address = loopback(0);
    socklen_t size = sizeof address;
    bind(taken, reinterpret_cast<sockaddr*>(&address), size);
    getsockname(taken, reinterpret_cast<sockaddr*>(&address), &size);
    close(taken);
    return ntohs(address.sin_port);
}

bool takes_connections(int port) {
    const int tried = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    const sockaddr_in address = loopback(port);
    const bool taken = connect(tried, reinterpret_cast<const sockaddr*>(&address), sizeof address) == 0;
    close(tried);
    return taken;
}

// Replaces the process; only what may be called between fork and exec.
[[noreturn]] void become(const char* const* words) {
    const int nowhere = open("/dev/null", O_RDWR);
    for (const int stream : {0, 1, 2}) dup2(nowhere, stream);
    sigset_t none;
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, nullptr);
    execv(words[0], const_cast<char* const*>(words));
    _exit(127);
}

pid_t begin(const std::vector<const char*>& words) {
    const pid_t process = fork();
    if (process == 0) become(words.data());
    return process;
}

} // namespace

MqttBroker::MqttBroker(bool with_password) : with_password_(with_password), port_(free_port()) {
    const std::string passwords = folder_.path("passwords");
    if (with_password_) {
        folder_.write("passwords", "");
        int status = 0;
        waitpid(begin({MOSQUITTO_PASSWD, "-b", passwords.c_str(), "box", "secret", nullptr}), &status, 0);
    }
    folder_.write("broker.conf", "listener " + std::to_string(port_) + " 127.0.0.1\nallow_anonymous " +
                                     (with_password_ ? "false\npassword_file " + passwords : "true") +
                                     "\nuser root\npersistence true\npersistence_location " +
                                     folder_.path("") + "\n");
    start();
}

MqttBroker::~MqttBroker() {
    kill();
}

void MqttBroker::start() {
    const std::string conf = folder_.path("broker.conf");
    process_ = begin({MOSQUITTO_PROGRAM, "-c", conf.c_str(), nullptr});
    const auto give_up = Time::now() + kPatience;
    while (!takes_connections(port_)) {
        if (Time::now() > give_up || waitpid(process_, nullptr, WNOHANG) != 0) {
            throw Failure(kExitFailure, "no MQTT broker runs here; install mosquitto");
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

void MqttBroker::publish(const std::string& topic, const std::string& payload, bool retained) {
    mosquitto_lib_init();
    bool arrived = false;
    mosquitto* const device = mosquitto_new(nullptr, true, &arrived);
    mosquitto_publish_callback_set(device,
                                   [](mosquitto*, void* flag, int) { *static_cast<bool*>(flag) = true; });
    mosquitto_username_pw_set(device, "box", "secret");
    mosquitto_connect(device, "127.0.0.1", port_, 60);
    mosquitto_publish(device, nullptr, topic.c_str(), static_cast<int>(payload.size()), payload.data(), 1,
                      retained);
    const auto give_up = Time::now() + kPatience;
    while (!arrived && Time::now() < give_up) mosquitto_loop(device, 10, 1);
    mosquitto_disconnect(device);
    mosquitto_destroy(device);
    if (!arrived) throw Failure(kExitFailure, topic + ": could not be published");
}

} // namespace quietpass
