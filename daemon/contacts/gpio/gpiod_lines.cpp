#include "daemon/contacts/gpio/gpiod_lines.h"

#include <gpiod.h>

#include <array>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <ctime>

namespace quietpass {

namespace {

constexpr const char* kConsumer = "quietpass";
constexpr unsigned kMostEdges = 16; // what the kernel keeps for a line
constexpr std::int64_t kSecond_ns = 1'000'000'000;

int flag_of(GpioBias bias) {
    switch (bias) {
        case GpioBias::kAsIs:
            return 0;
        case GpioBias::kPullUp:
            return GPIOD_LINE_REQUEST_FLAG_BIAS_PULL_UP;
        case GpioBias::kPullDown:
            return GPIOD_LINE_REQUEST_FLAG_BIAS_PULL_DOWN;
        case GpioBias::kNone:
            return GPIOD_LINE_REQUEST_FLAG_BIAS_DISABLE;
    }
    return 0;
}

// Kernels before 5.7 stamp edges with the wall clock: what can't be an age on the monotonic one is none.
std::int64_t age_of(const timespec& stamp) {
    timespec now{};
    clock_gettime(CLOCK_MONOTONIC, &now);
    const std::int64_t age_ns = (now.tv_sec - stamp.tv_sec) * kSecond_ns + (now.tv_nsec - stamp.tv_nsec);
    return age_ns >= 0 && age_ns < kSecond_ns ? age_ns : 0;
}

} // namespace

struct GpiodLines::Chip {
    ~Chip() {
        if (chip != nullptr) gpiod_chip_close(chip); // releases the lines
    }

    gpiod_chip* chip = nullptr;
    std::vector<gpiod_line*> lines;
};

GpiodLines::GpiodLines() = default;
GpiodLines::~GpiodLines() = default;

bool GpiodLines::open(const std::vector<GpioAddress>& wished) {
    chip_ = std::make_unique<Chip>();
    const std::string& name = wished.front().chip;
    chip_->chip = gpiod_chip_open_lookup(name.c_str());
    if (chip_->chip == nullptr) return fail("chip " + name + " can't be opened");
    for (const GpioAddress& wish : wished) {
        const std::string number = std::to_string(wish.line);
        gpiod_line* const line = gpiod_chip_get_line(chip_->chip, static_cast<unsigned>(wish.line));
        // One request a line: each has its own bias.
        const gpiod_line_request_config config{kConsumer, GPIOD_LINE_REQUEST_EVENT_BOTH_EDGES,
                                               flag_of(wish.bias)};
        if (line == nullptr || gpiod_line_request(line, &config, 0) != 0)
            return fail("line " + number + " can't be taken");
        chip_->lines.push_back(line);
    }
    return true;
}

void GpiodLines::close() {
    chip_.reset();
}

std::optional<std::vector<bool>> GpiodLines::levels() {
    std::vector<bool> levels;
    for (gpiod_line* const line : chip_->lines) {
        const int level = gpiod_line_get_value(line);
        if (level < 0) {
            fail("a level can't be read");
            return std::nullopt;
        }
        levels.push_back(level != 0);
    }
    return levels;
}

std::optional<std::vector<GpioEdge>> GpiodLines::edges(double at_most_s) {
    std::vector<GpioEdge> edges;
    gpiod_line_bulk watched;
    gpiod_line_bulk_init(&watched);
    for (gpiod_line* const line : chip_->lines) gpiod_line_bulk_add(&watched, line);
    timespec wait{};
    wait.tv_sec = static_cast<time_t>(at_most_s);
    wait.tv_nsec = static_cast<long>((at_most_s - std::floor(at_most_s)) * 1e9);
    gpiod_line_bulk ready;
    const int came = gpiod_line_event_wait_bulk(&watched, &wait, &ready);
    if (came == 0) return edges;
    for (std::size_t i = 0; came > 0 && i < chip_->lines.size(); ++i) {
        bool is_ready = false;
        for (unsigned k = 0; k < gpiod_line_bulk_num_lines(&ready); ++k) {
            is_ready = is_ready || gpiod_line_bulk_get_line(&ready, k) == chip_->lines[i];
        }
        if (!is_ready) continue;
        std::array<gpiod_line_event, kMostEdges> events{};
        const int count = gpiod_line_event_read_multiple(chip_->lines[i], events.data(), kMostEdges);
        if (count < 0) {
            fail("edges can't be read");
            return std::nullopt;
        }
        for (int k = 0; k < count; ++k) {
            const gpiod_line_event& event = events[static_cast<std::size_t>(k)];
            edges.push_back({i, event.event_type == GPIOD_LINE_EVENT_RISING_EDGE, age_of(event.ts)});
        }
    }
    if (came > 0) return edges;
    fail("edges can't be waited for");
    return std::nullopt;
}

bool GpiodLines::fail(const std::string& what) {
    why_ = what + " (" + std::strerror(errno) + ")";
    close();
    return false;
}

} // namespace quietpass
