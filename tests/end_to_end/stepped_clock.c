/* Preloaded into a program under test: the wall clock is off by what stands in the file of QUIETPASS_STEPPED_CLOCK,
 * eight bytes, nanoseconds, which the test may change at any time. The monotonic clock stays as it is. */
#define _GNU_SOURCE
#include <fcntl.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static const volatile int64_t* offset_ns;

__attribute__((constructor)) static void open_offset(void) {
    const char* path = getenv("QUIETPASS_STEPPED_CLOCK");
    const int file = path != NULL ? open(path, O_RDONLY | O_CLOEXEC) : -1;
    if (file < 0) return;
    void* seen = mmap(NULL, sizeof(int64_t), PROT_READ, MAP_SHARED, file, 0);
    if (seen != MAP_FAILED) offset_ns = seen;
    close(file);
}

int clock_gettime(clockid_t clock, struct timespec* now) {
    const int failed = (int)syscall(SYS_clock_gettime, clock, now);
    if (failed != 0 || clock != CLOCK_REALTIME || offset_ns == NULL) return failed;
    const int64_t ns = (int64_t)now->tv_sec * 1000000000 + now->tv_nsec + *offset_ns;
    now->tv_sec = (time_t)(ns / 1000000000);
    now->tv_nsec = (long)(ns % 1000000000);
    return 0;
}
