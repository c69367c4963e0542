// The calls in one audio file: each channel through an Ear of its own, what several channels heard merged.
//
// Throws Failure for a file that can't be read (FileSource). Calls come in order of start. Any thread; up to
// `jobs` channels are heard at the same time, and the result doesn't depend on it. The file is streamed.
#pragma once

#include <string>
#include <vector>

#include "classifiers/heard_call.h"
#include "classifiers/profile.h"

namespace quietpass {

std::vector<HeardCall> calls_in_file(const std::string& path, const Profile& profile, int jobs = 1);

} // namespace quietpass
