// A Modbus TCP device on loopback with a hundred coils, which a test can kill and start again; its coils are
// off after each start. Tests only; thread-safe.
#pragma once

#include <array>
#include <atomic>
#include <memory>
#include <mutex>
#include <thread>

namespace quietpass::test {

class CoilDevice {
  public:
    CoilDevice(); // on any free port, which it keeps
    ~CoilDevice();

    int port() const { return port_; }
    void kill();
    void start();

    bool coil(int number) const { return coils_.at(static_cast<std::size_t>(number)).load(); }
    int writes() const { return writes_.load(); }
    bool await_coil(int number, bool on) const; // false after a minute
    bool await_writes(int count) const;

  private:
    void run(int listener);

    int port_ = 0;
    std::array<std::atomic<bool>, 100> coils_{};
    std::atomic<int> writes_{0};
    std::atomic<bool> stopping_{false};
    std::thread thread_;
};

} // namespace quietpass::test
