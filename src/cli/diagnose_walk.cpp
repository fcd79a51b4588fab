/// The walk of `diagnose --ask`: one reading after the other, on a terminal or through a pipe.
#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <set>
#include <utility>

#include "cli/diagnose.h"
#include "cli/files.h"
#include "cli/progress.h"
#include "drawing/text.h"
#include "records/source.h"

namespace voltsill::cli {
namespace {

const char* const walk_help =
    "Type what you read, numbers with a decimal point. Or: skip (another reading), why (what the answers mean),\n"
    "undo, u or back (take the last answer back), list (what may be wrong), help or ? (these words), quit or q. "
    "A whole\nline such as \"U1.13 = 0.02 V\" or \"U1 gets hot\" is a reading of your own choice.";

/// Lines of standard input; a pipe may be idle: unlike read, poll always ends with a signal.
class InputLines {
  public:
    std::optional<std::string> next() {
        for (;;) {
            if (const auto end = text_.find('\n'); end != std::string::npos) {
                std::string line = text_.substr(0, end);
                text_.erase(0, end + 1);
                return trimmed_line(std::move(line));
            }
            pollfd ready{STDIN_FILENO, POLLIN, 0};
            while (poll(&ready, 1, -1) < 0 && errno == EINTR)
                if (Interruptible::asked()) return std::nullopt;
            char piece[4096];
            const ssize_t n = read(STDIN_FILENO, piece, sizeof piece);
            if (n > 0) {
                text_.append(piece, static_cast<std::size_t>(n));
                continue;
            }
            if (text_.empty()) return std::nullopt;
            return trimmed_line(std::exchange(text_, {}));
        }
    }

  private:
    static std::string trimmed_line(std::string line) {
        while (!line.empty() && (line.back() == ' ' || line.back() == '\r')) line.pop_back();
        line.erase(0, std::min(line.find_first_not_of(' '), line.size()));
        return line;
    }
    std::string text_;
};

class Walk {
  public:
    Walk(DiagnoseCommand& command, const DiagnoseInput& input, DiagnoseResult now)
        : command_(command), input_(input), now_(std::move(now)), wanted_(command.what.how.next) {}

    DiagnoseResult go() {
        say(walk_help);
        while (!Interruptible::asked() && !now_.diagnosis.found) {
            const int asked = next_question();
            if (asked < 0) break;
            say(fmt::format("\n{}{}\n[{}] ", known_so_far(), now_.diagnosis.next[asked].how, now_.asked[asked].answers),
                false);
            const auto line = lines_.next();
            if (!line || *line == "quit" || *line == "q") break;
            take(*line, asked);
        }
        command_.what.how.next = wanted_;
        again();
        say("");
        return std::move(now_);
    }

  private:
    /// Line by line; a learner who has not asked for the cause is told of the power only.
    std::string known_so_far() const {
        const Diagnosis& d = now_.diagnosis;
        const bool learner = command_.hint > 0 && command_.hint < 3;
        const std::string& off = learner ? d.hints.keep_off : d.keep_off;
        return (off.empty() ? "" : off + "\n") + (learner ? "" : d.sentence + "\n");
    }

    static std::string name_of(const LineForm& line) { return line.before + line.after; }

    int next_question() const {
        for (std::size_t k = 0; k < now_.asked.size(); ++k)
            if (!skipped_.contains(name_of(now_.asked[k].line))) return static_cast<int>(k);
        return -1;
    }

    void take(const std::string& line, int asked) {
        if (line.empty() || line == "help" || line == "?") return say(walk_help);
        if (line == "why") return say(now_.diagnosis.next[asked].why);
        if (line == "list") return say(suspects());
        if (line == "skip") {
            skipped_.insert(name_of(now_.asked[asked].line));
            command_.what.how.next = wanted_ + static_cast<int>(skipped_.size());
            again();
            return;
        }
        auto& lines = command_.what.lines;
        if (line == "undo" || line == "u" || line == "back") {
            if (lines.size() == given_) return say("There is no answer of this walk to take back.");
            say(fmt::format("Taken back: {}", lines.back()));
            lines.pop_back();
            again();
            return;
        }
        // A line that says a reading by itself is one ("dust pulse fails"); else it answers what was asked.
        Problems as_line;
        if (tried(line, as_line)) return;
        if (line.find('=') != std::string::npos) return tell(line, as_line, 0);
        const LineForm& form = now_.asked[asked].line;
        Problems as_answer;
        if (tried(form.before + line + form.after, as_answer)) return;
        if (says_more_than_an_answer(as_line))
            tell(line, as_line, 0);
        else
            tell(line, as_answer, code_points(form.before));
    }

    bool tried(const std::string& line, Problems& problems) {
        command_.what.lines.push_back(line);
        DiagnoseResult fresh = diagnosed(command_, input_);
        if (fresh.accepted() && !fresh.cancelled) {
            now_ = std::move(fresh);
            return true;
        }
        problems = std::move(fresh.reading_problems);
        command_.what.lines.pop_back();
        return false;
    }

    /// "dust pulze fails": a known thing is said of a name that is not there.
    static bool says_more_than_an_answer(const Problems& problems) {
        return std::ranges::any_of(problems, [](const Problem& p) {
            return p.code == "unknown-link" || (p.code == "unknown-part" && p.place.width > 1);
        });
    }

    /// Problems of what was typed, whatever was put before it to make it a reading.
    void tell(const std::string& line, Problems problems, int before) const {
        Options plain = command_;  // problems of an answer are for the person who typed it
        plain.form = Form::terminal;
        for (Problem& p : problems) {
            const int length = std::max(1, code_points(line));
            p.place.file = "your answer";
            p.place.line = 1;
            p.place.column = std::clamp(p.place.column - before, 1, length);
            p.place.width = std::clamp(p.place.width, 1, length - p.place.column + 1);
            p.excerpt = line;
        }
        show_problems(problems, plain);
    }

    void again() {
        DiagnoseResult fresh = diagnosed(command_, input_);
        if (fresh.accepted() && !fresh.cancelled) now_ = std::move(fresh);
    }

    std::string suspects() const {
        std::string out;
        for (std::size_t k = 0; k < std::min<std::size_t>(now_.diagnosis.suspects.size(), 8); ++k)
            out += fmt::format("{}{:>10}  {}", k ? "\n" : "", share_words(now_.diagnosis.suspects[k].share),
                               now_.diagnosis.suspects[k].words);
        return out;
    }

    /// On standard output, or beside it where that is for a document.
    void say(const std::string& text, bool end = true) const {
        std::FILE* const to = command_.form == Form::terminal ? stdout : stderr;
        fmt::print(to, "{}{}", command_.ascii ? to_ascii(text) : text, end ? "\n" : "");
        std::fflush(to);
    }

    DiagnoseCommand& command_;
    const DiagnoseInput& input_;
    DiagnoseResult now_;
    const int wanted_;
    const std::size_t given_ = command_.what.lines.size();
    InputLines lines_;
    std::set<std::string> skipped_;
};

}  // namespace

DiagnoseResult walk(DiagnoseCommand& command, const DiagnoseInput& input, DiagnoseResult first) {
    return Walk(command, input, std::move(first)).go();
}

}  // namespace voltsill::cli
