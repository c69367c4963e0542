// A cut of which only the calls are left as they were heard (classifiers/speech_mask.h). Calls are station
// seconds. What was lost stays lost. Any thread.
#pragma once

#include <span>

#include "classifiers/speech_mask.h"
#include "daemon/clips/sound_cut.h"

namespace quietpass {

SoundCut with_speech_masked(const SoundCut& cut, std::span<const CallSpan> calls);

} // namespace quietpass
