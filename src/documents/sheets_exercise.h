#pragma once
/// A small program for each link, as a plan and as a shell script: set a pin, read the other end.
///
/// The script is POSIX shell (IEEE Std 1003.1) and moves lines of a Linux GPIO character device by the
/// tools of libgpiod, versions 1 and 2 (gpioset, gpioget). It does nothing but print unless told to run,
/// and does not run without a file that says which line is which pin: that is known to nobody here.
#include <optional>
#include <string>
#include <vector>

#include "judging/link_readings.h"

namespace voltsill {

/// What one end shows for one level.
struct ExpectedLevel {
    char set = '1';     ///< '0', '1', 'Z'
    std::string point;  ///< "gauge.TRIG"
    double lo = 0, hi = 0;
    char level = 'X';  ///< as the point reads it
};

struct Exercise {
    std::string link;
    bool drives = false;  ///< the controller sets the link; else it reads it
    bool open_drain = false;
    bool digital = true;  ///< a line can set or read it; an analogue link needs a meter
    std::string pin;      ///< of the controller: "D1"
    std::string driver;   ///< "gauge.ECHO"
    std::optional<Hertz> rate;
    std::vector<ExpectedLevel> expected;
};

/// The part whose software-set pins end the most links; empty: there is none.
std::string controller_of(const Bench& bench);
std::vector<Exercise> exercises_of(const Bench& bench, const std::vector<LinkReading>& levels);
std::string exercise_script(const Bench& bench, const std::string& version,
                            const std::vector<Exercise>& exercises);

}  // namespace voltsill
