#include "cli/progress.h"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "drawing/text.h"

namespace voltsill::cli {
namespace {

volatile std::sig_atomic_t stop_asked = 0;

void ask(int) { stop_asked = 1; }

std::string time_words(double seconds) {
    const auto s = static_cast<long>(std::ceil(std::min(seconds, 1e9)));
    if (s < 60) return fmt::format("{} s", s);
    if (s < 3600) return fmt::format("{} min {:02} s", s / 60, s % 60);
    return fmt::format("{} h {:02} min", s / 3600, s / 60 % 60);
}

std::string first_columns(const std::string& text, int columns) {
    std::string out;
    int used = 0;
    for (const Cluster& c : clusters(text)) {
        if (used + c.width > columns) break;
        out += c.bytes;
        used += c.width;
    }
    return out;
}

int terminal_width() {
    winsize size{};
    return ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : 80;
}

}  // namespace

Interruptible::Interruptible() {
    stop_asked = 0;
    struct sigaction action {};
    action.sa_handler = ask;
    action.sa_flags = SA_RESETHAND | SA_RESTART;
    sigaction(SIGINT, &action, &before_);
}

Interruptible::~Interruptible() { sigaction(SIGINT, &before_, nullptr); }

bool Interruptible::asked() { return stop_asked != 0; }

std::string progress_line(double share, double seconds_gone, const std::string& what, int width, bool ascii) {
    share = std::clamp(std::isfinite(share) ? share : 0.0, 0.0, 1.0);
    std::string tail = fmt::format("{:3.0f} %", std::floor(100 * share));
    if (share > 0) tail += fmt::format(", {} left", time_words(seconds_gone * (1 - share) / share));
    const int room = std::max(0, width - 1 - static_cast<int>(tail.size()));
    const std::string fit = ascii ? to_ascii(clean(what)) : clean(what);
    const int bar = std::clamp(room / 2, 0, 30);
    if (bar < 6) return first_columns(tail, width);
    const std::string name = first_columns(fit, room - bar - 2);
    const int inside = bar - 3, full = static_cast<int>(share * inside);
    return fmt::format("{}{}[{}{}] {}", name, name.empty() ? "" : " ", std::string(full, '='),
                       std::string(inside - full, ' '), tail);
}

ProgressBar::ProgressBar(const Options& options)
    : wanted_(!options.quiet && isatty(STDERR_FILENO) != 0), ascii_(options.ascii) {}

void ProgressBar::show(double share, const std::string& what) {
    using namespace std::chrono_literals;
    const Clock::time_point now = Clock::now();
    if (!wanted_ || now - start_ < 1s || (drawn_ && now - last_ < 100ms)) return;
    last_ = now;
    drawn_ = true;
    const double gone = std::chrono::duration<double>(now - start_).count();
    // ECMA-48: carriage return, erase to the end of the line.
    fmt::print(stderr, "\r{}\x1b[K", progress_line(share, gone, what, terminal_width() - 1, ascii_));
    std::fflush(stderr);
}

void ProgressBar::clear() {
    if (!drawn_) return;
    fmt::print(stderr, "\r\x1b[K");
    std::fflush(stderr);
    drawn_ = false;
}

}  // namespace voltsill::cli
