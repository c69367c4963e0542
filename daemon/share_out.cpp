#include "daemon/share_out.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>
#include <vector>

namespace quietpass {

int jobs_from(int wanted) {
    return wanted > 0 ? wanted : std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

void share_out(std::size_t count, int jobs, const std::function<void(std::size_t)>& work,
               const std::function<void(std::size_t)>& finished) {
    std::atomic<std::size_t> next = 0;
    std::mutex lock; // of finished(), failure and failed
    std::exception_ptr failure;
    std::size_t failed = count;
    // Pieces are begun in order: when one throws, all before it were begun and end as they would have.
    const auto labour = [&] {
        for (std::size_t i = next++; i < count; i = next++) {
            try {
                work(i);
                const std::lock_guard<std::mutex> held(lock);
                if (finished) finished(i);
            } catch (...) {
                const std::lock_guard<std::mutex> held(lock);
                next = count;
                if (i < failed) {
                    failed = i;
                    failure = std::current_exception();
                }
                return;
            }
        }
    };
    std::vector<std::thread> threads;
    const std::size_t helpers = std::min(count, static_cast<std::size_t>(std::max(jobs, 1)));
    threads.reserve(helpers);
    try {
        for (std::size_t i = 1; i < helpers; ++i) threads.emplace_back(labour);
    } catch (const std::system_error&) {
        // No more threads to be had: those there are do the work.
    }
    labour();
    for (std::thread& thread : threads) thread.join();
    if (failure) std::rethrow_exception(failure);
}

} // namespace quietpass
