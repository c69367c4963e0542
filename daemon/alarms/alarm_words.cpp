#include "daemon/alarms/alarm_words.h"

#include <algorithm>
#include <string_view>

namespace quietpass {

namespace {

constexpr std::string_view kNoSafetyDevice = " quietpass is no safety device and replaces no trained person.";
constexpr std::string_view kNotScored = " Passages are not scored while it lasts.";

std::string_view short_words(AlarmCause cause) {
    switch (cause) {
        case AlarmCause::kCallAfterStun:
            return "call after the stun";
        case AlarmCause::kMayBeAfterStun:
            return "call that may be after the stun";
        case AlarmCause::kHoldTooLong:
            return "animal held too long";
        case AlarmCause::kSecondStun:
            return "second stun";
        case AlarmCause::kRateUp:
            return "more vocal passages than usual";
        case AlarmCause::kManyVocal:
            return "many vocal passages one after the other";
        case AlarmCause::kStunnedOnceLow:
            return "too few animals stunned once";
        case AlarmCause::kMicrophoneLost:
            return "microphone lost";
        case AlarmCause::kMicrophoneFault:
            return "microphone in trouble";
        case AlarmCause::kContactsLost:
            return "contacts do not answer";
        case AlarmCause::kContactFault:
            return "contact faulty";
        case AlarmCause::kClockAdrift:
            return "clock adrift";
        case AlarmCause::kDiskLow:
            return "disk nearly full";
        case AlarmCause::kRecordsNotWritten:
            return "records can't be written";
        case AlarmCause::kClipsStopped:
            return "no clips are kept";
        case AlarmCause::kCertificateEnds:
            return "the page's certificate ends";
        case AlarmCause::kNoPassage:
            return "no animal for long while the line should run";
        case AlarmCause::kNothingHeard:
            return "not one call for many passages";
    }
    return "";
}

} // namespace

std::string headline_of(AlarmCause cause, const std::string& source) {
    return std::string(short_words(cause)) + (source.empty() ? "" : ": " + source);
}

std::string advice_of(AlarmCause cause) {
    std::string words;
    switch (cause) {
        case AlarmCause::kCallAfterStun:
            words =
                "A trained person checks the animal now: a call after the stun can be a sign of returning "
                "sensibility. It can also be another animal's, or a sound that was taken for a call.";
            return words.append(kNoSafetyDevice);
        case AlarmCause::kMayBeAfterStun:
            words =
                "A trained person checks the stunned animal now. The call was given to the animal nearest "
                "the "
                "stun; who of the two called can't be told, and a call after the stun can be a sign of "
                "returning sensibility.";
            return words.append(kNoSafetyDevice);
        case AlarmCause::kHoldTooLong:
            words =
                "Look at the restrainer: an animal is restrained only when everything is ready. Stun it "
                "or let it go.";
            return words.append(kNoSafetyDevice);
        case AlarmCause::kSecondStun:
            words =
                "A trained person checks the animal, and looks at the stunner, its position and how the "
                "animal is held. The contact can also have closed by itself.";
            return words.append(kNoSafetyDevice);
        case AlarmCause::kRateUp:
        case AlarmCause::kManyVocal:
            words =
                "Watch some animals go through, and look at what was altered lately. What is commonly "
                "looked at: footing, light, people in sight, prod, pressure and edges of the holder, time "
                "held, the stunner.";
            return words;
        case AlarmCause::kStunnedOnceLow:
            words = "Look at the stunner, its position, its care and how the head is held.";
            return words.append(kNoSafetyDevice);
        case AlarmCause::kMicrophoneLost:
            words = "Look at the microphone's plug, its cable and its device.";
            return words.append(kNotScored);
        case AlarmCause::kMicrophoneFault:
            return std::string(kNotScored.substr(1));
        case AlarmCause::kContactsLost:
            words = "Look at the input module, its power and its network.";
            return words.append(kNotScored);
        case AlarmCause::kContactFault:
            return "Look at the contact, its gate and its wiring. Passages can be wrong while it lasts.";
        case AlarmCause::kClockAdrift:
            return "Look at the computer's clock and its time server. Times in the records can be off.";
        case AlarmCause::kDiskLow:
            return "Free the disk or give the records a larger one, before records can't be written.";
        case AlarmCause::kRecordsNotWritten:
            return "Free the disk and look at the log; what is heard waits in memory for a while, and is "
                   "lost "
                   "if the computer stops.";
        case AlarmCause::kClipsStopped:
            return "Free the disk and look at the log. Counting and the records go on; what is "
                   "heard meanwhile can't be listened to later.";
        case AlarmCause::kCertificateEnds:
            return "Have it renewed, then reload the settings. Once it is over, browsers refuse the page; "
                   "counting "
                   "and the records go on.";
        case AlarmCause::kNoPassage:
            return "Look whether the line runs; if it does, at the contacts that tell of an animal. If it "
                   "doesn't, close the contact `stopped` where there is one.";
        case AlarmCause::kNothingHeard:
            return "Look at the microphone and make a sound before it. Quiet animals are possible; a deaf "
                   "microphone is too.";
    }
    return words;
}

std::string span_text(std::int64_t span_ns) {
    const std::int64_t seconds = std::max<std::int64_t>(span_ns, 0) / 1'000'000'000;
    if (seconds < 120) return std::to_string(seconds) + " s";
    const std::int64_t minutes = seconds / 60;
    if (minutes < 120) return std::to_string(minutes) + " min";
    return std::to_string(minutes / 60) + " h " + std::to_string(minutes % 60) + " min";
}

} // namespace quietpass
