// `quietpass devices`: the audio inputs that a station file can name, as a table on standard output. Throws
// Failure.
#pragma once

namespace quietpass {

void list_devices();

} // namespace quietpass
