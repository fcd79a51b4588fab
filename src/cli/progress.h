#pragma once
/// How far a long run is, on standard error, and Ctrl-C as a request to stop.
///
///     const Interruptible asked;
///     ProgressBar bar(options);
///     const auto result = work([&](double share, const std::string& what) {
///         bar.show(share, what);
///         return !Interruptible::asked();
///     });
///     bar.clear();
///
/// The time left is the time gone, times what is left over what is done.
#include <chrono>
#include <csignal>
#include <string>

#include "cli/options.h"

namespace voltsill::cli {

inline constexpr int interrupted = 130;  ///< exit code: 128 + SIGINT, the custom of shells

/// While one lives the first SIGINT only asks; the second one ends the program as ever.
class Interruptible {
  public:
    Interruptible();
    ~Interruptible();
    Interruptible(const Interruptible&) = delete;
    Interruptible& operator=(const Interruptible&) = delete;
    static bool asked();

  private:
    struct sigaction before_ {};
};

/// Nothing is written unless standard error is a terminal, the run lasts a second or more, and the
/// options are not `quiet`. One thread at a time.
class ProgressBar {
  public:
    explicit ProgressBar(const Options& options);
    ~ProgressBar() { clear(); }
    ProgressBar(const ProgressBar&) = delete;
    ProgressBar& operator=(const ProgressBar&) = delete;
    /// `share` done, 0..1; drawn ten times a second at most.
    void show(double share, const std::string& what);
    void clear();

  private:
    using Clock = std::chrono::steady_clock;
    bool wanted_, ascii_;
    bool drawn_ = false;
    Clock::time_point start_ = Clock::now(), last_ = start_;
};

/// One line of at most `width` columns: "tank echo [=====>    ]  48 %, 12 s left". No time is
/// given where `share` is 0.
std::string progress_line(double share, double seconds_gone, const std::string& what, int width, bool ascii);

}  // namespace voltsill::cli
