// The connection to a small controller, over TCP or a serial port: lines in, lines out. By Boost.Asio.
//
// One thread uses it; nothing waits longer than it was told to, but for a host name, which the system
// resolves: give addresses. A serial port is taken for us alone.
#pragma once

#include <memory>
#include <string>

#include "daemon/contacts/addresses/line_address.h"
#include "daemon/contacts/source_thread.h"

namespace quietpass {

class LineLink {
  public:
    explicit LineLink(LineAddress address);
    ~LineLink();

    // False when it can't be opened: why() says why.
    bool open(RealTime::time_point until);
    void close();

    enum class Got { kLine, kNothing, kFailed };
    // The next line without its end (LF or CR LF), if one comes in time. What is too long for a line is cut
    // into pieces, none of which is one.
    Got read(std::string& line, RealTime::time_point until);
    // False when it failed.
    bool write(const std::string& line);

    const std::string& why() const { return why_; }

  private:
    struct Parts;

    bool fail(const std::string& why);

    LineAddress address_;
    std::string why_;
    std::unique_ptr<Parts> parts_; // while open
};

} // namespace quietpass
