/// Any bytes as a table of an instrument, whole and in two pieces: the same values come out.
#include "fuzz/capture_sink.h"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
    return fuzz::read_capture({reinterpret_cast<const char*>(data), size}, "");
}
