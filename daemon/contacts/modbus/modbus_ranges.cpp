#include "daemon/contacts/modbus/modbus_ranges.h"

#include <algorithm>
#include <tuple>

namespace quietpass {

namespace {
constexpr int kMostBits = 2000;
constexpr int kMostRegisters = 125;
} // namespace

std::vector<ModbusRange> modbus_ranges(std::vector<ModbusAddress> addresses) {
    std::sort(addresses.begin(), addresses.end(), [](const ModbusAddress& a, const ModbusAddress& b) {
        return std::tie(a.unit, a.table, a.number) < std::tie(b.unit, b.table, b.number);
    });
    std::vector<ModbusRange> ranges;
    for (const ModbusAddress& address : addresses) {
        const int most = is_register(address.table) ? kMostRegisters : kMostBits;
        if (!ranges.empty() && ranges.back().unit == address.unit && ranges.back().table == address.table) {
            ModbusRange& last = ranges.back();
            const int count = address.number - last.first + 1;
            if (count <= last.count + 1 + kLargestHole && count <= most) {
                last.count = std::max(last.count, count);
                continue;
            }
        }
        ranges.push_back({address.unit, address.table, address.number, 1});
    }
    return ranges;
}

} // namespace quietpass
