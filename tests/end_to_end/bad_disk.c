/* Preloaded into a program under test: the folder of QUIETPASS_BAD_DISK is on a disk that is slow, that has become
 * read-only under open files as a kernel makes one that fails, or that is gone: its plug was pulled. What holds now
 * stands in the file of QUIETPASS_BAD_DISK_STATE, two numbers of four bytes that the test may change at any time: each
 * write and sync takes so many milliseconds; and how it fails, EROFS for read-only, EIO for gone, 0 for not. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/types.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

static const volatile int32_t* state;
static const char* folder;

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

__attribute__((constructor)) static void open_state(void) {
    const char* path = getenv("QUIETPASS_BAD_DISK_STATE");
    folder = getenv("QUIETPASS_BAD_DISK");
    const int file = path != NULL ? REAL(open)(path, O_RDONLY | O_CLOEXEC) : -1;
    if (file < 0 || folder == NULL) return;
    void* seen = mmap(NULL, 2 * sizeof(int32_t), PROT_READ, MAP_SHARED, file, 0);
    if (seen != MAP_FAILED) state = seen;
    close(file);
}

static int is_there(const char* path) {
    return state != NULL && path != NULL && strncmp(path, folder, strlen(folder)) == 0;
}

/* -1 with errno when the disk refuses. */
static int refused(int there) {
    if (!there) return 0;
    if (state[0] > 0) {
        const struct timespec wait = {state[0] / 1000, state[0] % 1000 * 1000000L};
        nanosleep(&wait, NULL);
    }
    if (state[1] == 0) return 0;
    errno = state[1];
    return -1;
}

static int refused_file(int file) {
    if (state == NULL || (state[0] == 0 && state[1] == 0)) return 0;
    char link[64], path[4096];
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    const ssize_t length = readlink(link, path, sizeof path - 1);
    if (length <= 0) return 0;
    path[length] = '\0';
    return refused(is_there(path));
}

static int refused_open(const char* path, int flags) {
    if (!is_there(path) || state[1] == 0) return 0;
    if (state[1] == EROFS && (flags & (O_WRONLY | O_RDWR | O_CREAT)) == 0) return 0;
    errno = state[1];
    return -1;
}

#define OPEN(name)                                                            \
    int name(const char* path, int flags, ...) {                              \
        va_list rest;                                                         \
        va_start(rest, flags);                                                \
        const mode_t mode = (flags & O_CREAT) ? va_arg(rest, mode_t) : 0;     \
        va_end(rest);                                                         \
        return refused_open(path, flags) ? -1 : REAL(name)(path, flags, mode); \
    }
OPEN(open)
OPEN(open64)

ssize_t write(int file, const void* bytes, size_t count) {
    return refused_file(file) ? -1 : REAL(write)(file, bytes, count);
}
ssize_t writev(int file, const struct iovec* pieces, int count) {
    return refused_file(file) ? -1 : REAL(writev)(file, pieces, count);
}
ssize_t pwrite(int file, const void* bytes, size_t count, off_t at) {
    return refused_file(file) ? -1 : REAL(pwrite)(file, bytes, count, at);
}
ssize_t pwrite64(int file, const void* bytes, size_t count, off64_t at) {
    return refused_file(file) ? -1 : REAL(pwrite64)(file, bytes, count, at);
}
/* A disk that is gone gives nothing back either. */
static int unreadable(int file) {
    return state != NULL && state[1] == EIO && refused_file(file);
}
ssize_t read(int file, void* bytes, size_t count) {
    return unreadable(file) ? -1 : REAL(read)(file, bytes, count);
}
ssize_t pread(int file, void* bytes, size_t count, off_t at) {
    return unreadable(file) ? -1 : REAL(pread)(file, bytes, count, at);
}
ssize_t pread64(int file, void* bytes, size_t count, off64_t at) {
    return unreadable(file) ? -1 : REAL(pread64)(file, bytes, count, at);
}
int fsync(int file) {
    return refused_file(file) ? -1 : REAL(fsync)(file);
}
int fdatasync(int file) {
    return refused_file(file) ? -1 : REAL(fdatasync)(file);
}
int ftruncate64(int file, off64_t length) {
    return refused_file(file) ? -1 : REAL(ftruncate64)(file, length);
}
int rename(const char* from, const char* to) {
    return refused(is_there(to)) ? -1 : REAL(rename)(from, to);
}
int unlink(const char* path) {
    return refused(is_there(path)) ? -1 : REAL(unlink)(path);
}
int mkdir(const char* path, mode_t mode) {
    return refused(is_there(path)) ? -1 : REAL(mkdir)(path, mode);
}
