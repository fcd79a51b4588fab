#pragma once
#include <string>
#include <vector>

namespace voltsill {

/// A catalogue file that the build put into the program (cmake/embed.cmake).
struct EmbeddedFile {
    const char* name;
    std::string text;
};
const std::vector<EmbeddedFile>& embedded_catalogue();

}  // namespace voltsill
