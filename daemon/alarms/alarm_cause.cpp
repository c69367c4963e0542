#include "daemon/alarms/alarm_cause.h"

namespace quietpass {

std::string_view name_of(AlarmCause cause) {
    switch (cause) {
        case AlarmCause::kCallAfterStun:
            return "call_after_stun";
        case AlarmCause::kMayBeAfterStun:
            return "may_be_after_stun";
        case AlarmCause::kHoldTooLong:
            return "hold_too_long";
        case AlarmCause::kSecondStun:
            return "second_stun";
        case AlarmCause::kRateUp:
            return "rate_up";
        case AlarmCause::kManyVocal:
            return "many_vocal";
        case AlarmCause::kStunnedOnceLow:
            return "stunned_once_low";
        case AlarmCause::kMicrophoneLost:
            return "microphone_lost";
        case AlarmCause::kMicrophoneFault:
            return "microphone_fault";
        case AlarmCause::kContactsLost:
            return "contacts_lost";
        case AlarmCause::kContactFault:
            return "contact_fault";
        case AlarmCause::kClockAdrift:
            return "clock_adrift";
        case AlarmCause::kDiskLow:
            return "disk_low";
        case AlarmCause::kRecordsNotWritten:
            return "records_not_written";
        case AlarmCause::kClipsStopped:
            return "clips_stopped";
        case AlarmCause::kCertificateEnds:
            return "certificate_ends";
        case AlarmCause::kNoPassage:
            return "no_passage";
        case AlarmCause::kNothingHeard:
            return "nothing_heard";
    }
    return "";
}

std::optional<AlarmCause> alarm_cause_from(std::string_view word) {
    for (const AlarmCause cause : kAlarmCauses) {
        if (name_of(cause) == word) return cause;
    }
    return std::nullopt;
}

AlarmNature nature_of(AlarmCause cause) {
    switch (cause) {
        case AlarmCause::kCallAfterStun:
            return {.end = AlarmEnd::kQuiet, .at_once = true, .anew = true, .by_animal = true};
        case AlarmCause::kMayBeAfterStun:
        case AlarmCause::kSecondStun:
            return {.end = AlarmEnd::kQuiet, .at_once = true, .anew = true};
        case AlarmCause::kHoldTooLong:
            return {.end = AlarmEnd::kGone, .at_once = true, .anew = true};
        case AlarmCause::kRateUp:
            return {.end = AlarmEnd::kSaid, .anew = true};
        default:
            return {};
    }
}

} // namespace quietpass
