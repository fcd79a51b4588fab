#pragma once
#include <string>
#include <vector>

namespace voltsill {

/// A file of catalogue/ that the build put into the program (cmake/embed.cmake).
struct EmbeddedFile {
    const char* name;
    std::string text;
};
const std::vector<EmbeddedFile>& embedded_catalogue();
/// Those of catalogue/boards/: no part files (bench/board.h).
const std::vector<EmbeddedFile>& embedded_boards();
/// Benches of examples/, in the library of the server alone.
const std::vector<EmbeddedFile>& embedded_examples();

}  // namespace voltsill
