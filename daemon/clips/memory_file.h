// A file in memory for libsndfile, which writes a sound file's header anew when it closes. One thread.
#pragma once

#include <sndfile.h>

#include <string>

namespace quietpass {

class MemoryFile {
  public:
    static SF_VIRTUAL_IO* io();
    std::string& bytes() { return bytes_; }

  private:
    sf_count_t seek(sf_count_t offset, int whence);
    sf_count_t read(void* into, sf_count_t count);
    sf_count_t write(const void* from, sf_count_t count);

    std::string bytes_;
    sf_count_t at_ = 0;
};

} // namespace quietpass
