/// Any bytes as a value change dump, whole and in two pieces: the same values come out.
#include "fuzz/capture_sink.h"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
    // Every other input has its header given, so that values are reached early.
    const char* const header =
        size % 2 ? ""
                 : "$var wire 1 ! a $end $var reg 4 # b $end $var real 1 % c $end $enddefinitions $end\n#1\n";
    return fuzz::read_capture({reinterpret_cast<const char*>(data), size}, header);
}
