#include "daemon/clips/memory_file.h"

#include <algorithm>
#include <cstdio>

namespace quietpass {

sf_count_t MemoryFile::seek(sf_count_t offset, int whence) {
    const auto size = static_cast<sf_count_t>(bytes_.size());
    const sf_count_t from = whence == SEEK_SET ? 0 : whence == SEEK_CUR ? at_ : size;
    at_ = std::clamp<sf_count_t>(from + offset, 0, size);
    return at_;
}

sf_count_t MemoryFile::read(void* into, sf_count_t count) {
    const sf_count_t there = std::min(count, static_cast<sf_count_t>(bytes_.size()) - at_);
    std::copy_n(bytes_.data() + at_, there, static_cast<char*>(into));
    at_ += there;
    return there;
}

sf_count_t MemoryFile::write(const void* from, sf_count_t count) {
    const auto end = static_cast<std::size_t>(at_ + count);
    if (end > bytes_.size()) bytes_.resize(end);
    std::copy_n(static_cast<const char*>(from), count, bytes_.data() + at_);
    at_ += count;
    return count;
}

SF_VIRTUAL_IO* MemoryFile::io() {
    static SF_VIRTUAL_IO io = {
        [](void* file) { return static_cast<sf_count_t>(static_cast<MemoryFile*>(file)->bytes_.size()); },
        [](sf_count_t offset, int whence, void* file) {
            return static_cast<MemoryFile*>(file)->seek(offset, whence);
        },
        [](void* into, sf_count_t count, void* file) {
            return static_cast<MemoryFile*>(file)->read(into, count);
        },
        [](const void* from, sf_count_t count, void* file) {
            return static_cast<MemoryFile*>(file)->write(from, count);
        },
        [](void* file) { return static_cast<MemoryFile*>(file)->at_; }};
    return &io;
}

} // namespace quietpass
