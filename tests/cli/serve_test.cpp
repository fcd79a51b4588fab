/// serve --class as somebody starts it at a terminal: the instructor's passphrase.
#include <gtest/gtest.h>
#include <poll.h>
#include <pty.h>
#include <signal.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <chrono>

#include "support/program.h"

namespace {
using voltsill::testing::Folder;
using voltsill::testing::Outcome;

const std::string class_bench = std::string(VOLTSILL_ROOT) + "/examples/first-bench.toml";

/// The program at a terminal of its own.
class AtTerminal {
  public:
    explicit AtTerminal(std::vector<std::string> words) {
        words.insert(words.begin(), voltsill::testing::program_path());
        std::vector<char*> arguments;
        for (std::string& word : words) arguments.push_back(word.data());
        arguments.push_back(nullptr);
        process_ = forkpty(&terminal_, nullptr, nullptr, nullptr);
        if (process_ == 0) {
            execv(arguments[0], arguments.data());
            _exit(127);
        }
    }
    ~AtTerminal() {
        if (process_ > 0) {
            kill(process_, SIGKILL);
            waitpid(process_, nullptr, 0);
        }
        close(terminal_);
    }
    /// All that was shown since the last time, up to these words and what came with them.
    std::string until(const std::string& words) {
        std::string shown;
        const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(60);
        while (shown.find(words) == std::string::npos && std::chrono::steady_clock::now() < end) {
            pollfd ready{terminal_, POLLIN, 0};
            if (poll(&ready, 1, 500) <= 0) continue;
            char bytes[4096];
            const ssize_t count = read(terminal_, bytes, sizeof bytes);
            if (count <= 0) break;
            shown.append(bytes, static_cast<std::size_t>(count));
        }
        return shown;
    }
    void type(const std::string& line) { (void)!write(terminal_, line.data(), line.size()); }
    bool shows_typing() const {
        termios now{};
        tcgetattr(terminal_, &now);
        return (now.c_lflag & ECHO) != 0;
    }
    void wait_until_unseen() const {
        for (int turn = 0; turn < 600 && shows_typing(); ++turn) usleep(100'000);
    }
    /// Exit code; -N: ended by signal N.
    int ended() {
        int status = 0;
        waitpid(std::exchange(process_, -1), &status, 0);
        return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
    }

  private:
    int terminal_ = -1;
    pid_t process_ = -1;
};

std::vector<std::string> held_in(const Folder& folder) {
    return {"serve", class_bench, "--class", "--sheet-hints", "--port", "0", "--store", folder.path("class.sqlite")};
}

TEST(ServeProgram, AsksAgainForAPassphraseUntilItMayBeTaken) {
    const Folder folder;
    AtTerminal at(held_in(folder));
    EXPECT_NE(at.until("letters or more: ").find("12 letters"), std::string::npos);
    at.wait_until_unseen();
    at.type("too short\n");
    const std::string told = at.until("letters or more: ");
    EXPECT_NE(told.find("a passphrase has 12 to 256 letters"), std::string::npos) << told;
    EXPECT_EQ(told.find("too short"), std::string::npos) << "what is typed is not shown";
    at.wait_until_unseen();
    at.type("\u00e4\u00e4\u00e4\u00e4\u00e4\u00e4\n");
    EXPECT_NE(at.until("letters or more: ").find("a passphrase has 12"), std::string::npos)
        << "six letters of two bytes each";
    at.wait_until_unseen();
    at.type("four words that differ\n");
    at.until("Once more: ");
    at.wait_until_unseen();
    at.type("five words that differ\n");
    EXPECT_NE(at.until("letters or more: ").find("not the same"), std::string::npos);
    for (const char* words : {"Once more: ", "Instructor: "}) {
        at.wait_until_unseen();
        at.type("four words that differ\n");
        EXPECT_NE(at.until(words).find(words), std::string::npos);
    }
    EXPECT_TRUE(at.shows_typing());
    at.until("Ctrl-C stops it");
    at.type("\x03");
    EXPECT_EQ(at.ended(), 0);
}

TEST(ServeProgram, LeavesTheTerminalAsItWasWhenNoPassphraseIsTyped) {
    const Folder folder;
    {
        AtTerminal at(held_in(folder));
        at.until("letters or more: ");
        at.wait_until_unseen();
        at.type("\x03");
        EXPECT_EQ(at.ended(), -SIGINT);
        EXPECT_TRUE(at.shows_typing());
    }
    AtTerminal at(held_in(folder));
    at.until("letters or more: ");
    at.wait_until_unseen();
    at.type("\x04");
    EXPECT_NE(at.until("no passphrase was set").find("no passphrase was set"), std::string::npos);
    EXPECT_EQ(at.ended(), 2);
    EXPECT_TRUE(at.shows_typing());
    EXPECT_FALSE(std::filesystem::exists(folder.path("class.sqlite")));
}

TEST(ServeProgram, NamesTheRuleAndTheFileOfAShortPassphrase) {
    const Folder folder;
    const std::string file = folder.write("passphrase", "too short\n");
    const Outcome r = voltsill::testing::run_program("serve " + class_bench + " --class --store " +
                                                     folder.path("class.sqlite") + " --passphrase-file " + file);
    EXPECT_EQ(r.code, 2);
    EXPECT_NE(r.out.find(file + ", first line: a passphrase has 12 to 256 letters"), std::string::npos) << r.out;
    const Outcome asked =
        voltsill::testing::run_program("serve " + class_bench + " --class --store " + folder.path("class.sqlite"));
    EXPECT_EQ(asked.code, 2);
    EXPECT_NE(asked.out.find("--passphrase-file"), std::string::npos) << asked.out;
    EXPECT_FALSE(std::filesystem::exists(folder.path("class.sqlite")));
}

}  // namespace
