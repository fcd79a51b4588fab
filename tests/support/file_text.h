#pragma once
// The bytes of a file of this project; empty where there is none.
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace voltsill::test {

/// `path`: from the root of the project, or absolute.
inline std::string file_text(const std::filesystem::path& path) {
    std::ostringstream text;
    text << std::ifstream(std::filesystem::path(VOLTSILL_ROOT) / path, std::ios::binary).rdbuf();
    return text.str();
}

}  // namespace voltsill::test
