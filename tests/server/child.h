#pragma once
/// `voltsill serve` as a child of its own.
#include <csignal>

#include "served.h"

namespace voltsill::testing {

class Child {
  public:
    explicit Child(const std::string& path, const std::vector<std::string>& more = {}) {
        int ends[2];
        EXPECT_EQ(pipe(ends), 0);
        process_ = fork();
        if (process_ == 0) {
            dup2(ends[1], STDOUT_FILENO);
            std::vector<std::string> words = {program_path(), "serve", path, "--port", "0", "--json", "--quiet"};
            words.insert(words.end(), more.begin(), more.end());
            std::vector<char*> arguments;
            for (std::string& word : words) arguments.push_back(word.data());
            arguments.push_back(nullptr);
            execv(arguments[0], arguments.data());
            _exit(127);
        }
        close(ends[1]);
        std::string line;
        for (char c; read(ends[0], &c, 1) == 1 && c != '\n';) line += c;
        close(ends[0]);
        ready_ = nlohmann::json::parse(line, nullptr, false);
    }
    ~Child() { end(SIGKILL); }
    /// Exit code; -1: ended by the signal.
    int end(int signal) {
        if (process_ <= 0) return -1;
        int status = 0;
        kill(process_, signal);
        waitpid(std::exchange(process_, -1), &status, 0);
        return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    }
    const nlohmann::json& ready() const { return ready_; }
    int port() const { return ready_.value("port", 0); }
    std::string token() const { return ready_.value("token", ""); }

  private:
    pid_t process_ = -1;
    nlohmann::json ready_;
};

/// How often to end it; more where the environment asks for a long run.
inline int kills_asked(int usual) {
    const char* asked = std::getenv("VOLTSILL_KILLS");
    return asked ? std::atoi(asked) : std::getenv("VOLTSILL_SANITIZED") ? 3 : usual;
}

}  // namespace voltsill::testing
