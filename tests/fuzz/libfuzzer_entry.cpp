// One program a thing that is fuzzed; QUIETPASS_FUZZED is its function's name.
#include "tests/fuzz/fuzzed.h"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* bytes, std::size_t size) {
    quietpass::fuzz::QUIETPASS_FUZZED({reinterpret_cast<const char*>(bytes), size});
    return 0;
}
