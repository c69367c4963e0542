#include "daemon/contacts/modbus_ranges.h"

#include <algorithm>
#include <tuple>

namespace quietpass {

namespace {
constexpr int kMostBits = 2000;
}

std::vector<ModbusRange> modbus_ranges(std::vector<ContactAddress> addresses) {
    std::sort(addresses.begin(), addresses.end(), [](const ContactAddress& a, const ContactAddress& b) {
        return std::tie(a.table, a.number) < std::tie(b.table, b.number);
    });
    std::vector<ModbusRange> ranges;
    for (const ContactAddress& address : addresses) {
        if (!ranges.empty() && ranges.back().table == address.table) {
            ModbusRange& last = ranges.back();
            const int count = address.number - last.first + 1;
            if (count <= last.count + 1 + kLargestHole && count <= kMostBits) {
                last.count = std::max(last.count, count);
                continue;
            }
        }
        ranges.push_back({address.table, address.number, 1});
    }
    return ranges;
}

} // namespace quietpass
