#pragma once
/// The program as a person runs it, and a folder of its own for what it writes.
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <string_view>

namespace voltsill::testing {

struct Outcome {
    int code = -1;  ///< -1: killed by a signal
    std::string out;
};

/// A shell command: what it prints, and its exit code.
inline Outcome run_command(const std::string& command) {
    Outcome result;
    FILE* pipe = popen(command.c_str(), "r");
    std::array<char, 4096> buffer;
    while (const std::size_t n = fread(buffer.data(), 1, buffer.size(), pipe))
        result.out.append(buffer.data(), n);
    const int status = pclose(pipe);
    result.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return result;
}

/// The program to run; another than the one built beside the test where the environment says so.
inline std::string program_path() {
    const char* other = std::getenv("VOLTSILL_PROGRAM");
    return other ? other : VOLTSILL_PROGRAM;
}

/// Standard output, with standard error unless told otherwise; `input` is fed to standard input.
inline Outcome run_program(const std::string& arguments, bool with_errors = true,
                           const std::string& input = "/dev/null") {
    return run_command("NO_COLOR=1 \"" + program_path() + "\" " + arguments +
                       (with_errors ? " 2>&1 <" : " 2>/dev/null <") + input);
}

class Folder {
  public:
    Folder()
        : path_(std::filesystem::temp_directory_path() /
                ("voltsill-test-" + std::to_string(getpid()) + "-" + std::to_string(count_++))) {
        std::filesystem::create_directories(path_);
    }
    ~Folder() { std::filesystem::remove_all(path_); }
    std::string path(const std::string& name) const { return (path_ / name).string(); }
    std::string write(const std::string& name, std::string_view bytes) const {
        std::ofstream(path(name), std::ios::binary) << bytes;
        return path(name);
    }
    std::string read(const std::string& name) const {
        std::ifstream in(path(name), std::ios::binary);
        std::stringstream text;
        text << in.rdbuf();
        return text.str();
    }

  private:
    static inline int count_ = 0;
    std::filesystem::path path_;
};

}  // namespace voltsill::testing
