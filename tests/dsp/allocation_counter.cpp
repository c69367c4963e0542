#include "tests/dsp/allocation_counter.h"

#include <atomic>

namespace {

std::atomic<std::size_t> g_allocations{0};

} // namespace

std::size_t quietpass::allocations_so_far() noexcept {
    return g_allocations.load();
}

// g++ and clang++ each have their own way to say that a sanitizer is in.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define QUIETPASS_SANITIZED
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define QUIETPASS_SANITIZED
#endif
#endif

#ifdef QUIETPASS_SANITIZED
#include <sanitizer/allocator_interface.h>

// The sanitizers own malloc, and tell of each block.
namespace {

const int g_hooked = __sanitizer_install_malloc_and_free_hooks(
    [](const volatile void*, std::size_t) { ++g_allocations; }, [](const volatile void*) {});

} // namespace

#else

// Taking malloc itself also catches C libraries (glibc's own names for the real ones).
extern "C" {
void* __libc_malloc(std::size_t size);
void* __libc_calloc(std::size_t count, std::size_t size);
void* __libc_realloc(void* block, std::size_t size);

void* malloc(std::size_t size) {
    ++g_allocations;
    return __libc_malloc(size);
}
void* calloc(std::size_t count, std::size_t size) {
    ++g_allocations;
    return __libc_calloc(count, size);
}
void* realloc(void* block, std::size_t size) {
    ++g_allocations;
    return __libc_realloc(block, size);
}
}

#endif
