// What an alarm can be of, its word, and how long such an alarm stands. FORMATS.md (daemon/records/) has the
// list as receivers see it.
#pragma once

#include <array>
#include <optional>
#include <string_view>

namespace quietpass {

enum class AlarmCause {
    kCallAfterStun,
    kMayBeAfterStun, // on a conveyor: a call of a stunned animal or of one that waits for its stun
    kHoldTooLong,
    kSecondStun,
    kRateUp,          // the CUSUM
    kManyVocal,       // k of the last n
    kStunnedOnceLow,  // too many of the last n needed a second stun
    kMicrophoneLost,  // source: the microphone
    kMicrophoneFault, // source: the microphone; its health
    kContactsLost,    // source: the contact source
    kContactFault,    // source: the contact; stuck or chattering
    kClockAdrift,     // source: the microphone, or "utc"
    kDiskLow,
    kRecordsNotWritten,
    kClipsStopped,    // none can be kept; records go on
    kCertificateEnds, // the page's
    kNoPassage,       // for too long while the line runs
    kNothingHeard,    // not one call of any kind in so many passages
};

inline constexpr std::array kAlarmCauses = {AlarmCause::kCallAfterStun,   AlarmCause::kMayBeAfterStun,
                                            AlarmCause::kHoldTooLong,     AlarmCause::kSecondStun,
                                            AlarmCause::kRateUp,          AlarmCause::kManyVocal,
                                            AlarmCause::kStunnedOnceLow,  AlarmCause::kMicrophoneLost,
                                            AlarmCause::kMicrophoneFault, AlarmCause::kContactsLost,
                                            AlarmCause::kContactFault,    AlarmCause::kClockAdrift,
                                            AlarmCause::kDiskLow,         AlarmCause::kRecordsNotWritten,
                                            AlarmCause::kClipsStopped,    AlarmCause::kCertificateEnds,
                                            AlarmCause::kNoPassage,       AlarmCause::kNothingHeard};

std::string_view name_of(AlarmCause cause); // "call_after_stun" …
std::optional<AlarmCause> alarm_cause_from(std::string_view word);

// When an alarm of this cause is over.
enum class AlarmEnd {
    kQuiet, // it happened at a moment; over when it did not happen again for a set time
    kGone,  // it is there or it is not; over when it was gone for a set time
    kSaid   // over when its detector says so
};

struct AlarmNature {
    AlarmEnd end = AlarmEnd::kGone;
    bool at_once = false;   // severity where the station file says nothing
    bool anew = false;      // one more of it asks for a person again, acknowledged or not
    bool by_animal = false; // another animal is told of at once, however short ago the last message was
};

AlarmNature nature_of(AlarmCause cause);

} // namespace quietpass
