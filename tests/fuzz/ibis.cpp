/// Any bytes as an IBIS file: read, listed, every model imported, and the part files read back.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "parts/catalogue.h"
#include "parts/ibis_import.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace voltsill;
    Problems problems;
    const IbisFile file = read_ibis({reinterpret_cast<const char*>(data), size}, "fuzz.ibs", problems);
    for (const Problem& p : problems) render(p);
    // Every file is complete or has a problem.
    if (!file.ended && !has_error(problems)) std::abort();
    ibis_listing(file);
    int left = 4;  // models to import: reading part files takes most of the time
    for (const IbisModel& m : file.models) {
        Problems refused;
        const auto import = import_ibis(file, {m.name, ""}, refused);
        if (!import && !has_error(refused)) std::abort();
        // What is made from a file without mistakes is a part file without mistakes.
        if (!import || has_error(problems) || left-- <= 0) continue;
        Problems of_part;
        Catalogue{}.with_file(import->part_file, "import.toml", of_part);
        if (has_error(of_part)) std::abort();
    }
    return 0;
}
