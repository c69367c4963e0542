// Why a stretch of sound was kept, and why a kept one was deleted; with their words in the store.
#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace quietpass {

enum class ClipWhy {
    kCall,
    kAlarm,     // of a moment: a call after the stun, a second stun
    kQuiet,     // one of the sample of quiet passages
    kContinuous // everything, for a set time
};

inline constexpr std::array kClipWhys = {ClipWhy::kCall, ClipWhy::kAlarm, ClipWhy::kQuiet,
                                         ClipWhy::kContinuous};

constexpr std::string_view name_of(ClipWhy why) {
    constexpr std::array<std::string_view, 4> kWords = {"call", "alarm", "quiet", "continuous"};
    return kWords[static_cast<std::size_t>(why)];
}

constexpr std::optional<ClipWhy> clip_why_from(std::string_view word) {
    for (const ClipWhy why : kClipWhys) {
        if (name_of(why) == word) return why;
    }
    return std::nullopt;
}

enum class DeletedWhy { kAge, kSpace, kPerson };

constexpr std::string_view name_of(DeletedWhy why) {
    constexpr std::array<std::string_view, 3> kWords = {"age", "space", "person"};
    return kWords[static_cast<std::size_t>(why)];
}

constexpr std::optional<DeletedWhy> deleted_why_from(std::string_view word) {
    for (const DeletedWhy why : {DeletedWhy::kAge, DeletedWhy::kSpace, DeletedWhy::kPerson}) {
        if (name_of(why) == word) return why;
    }
    return std::nullopt;
}

} // namespace quietpass
