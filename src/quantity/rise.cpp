#include "quantity/rise.h"

#include <fmt/format.h>

#include "quantity/print.h"

namespace voltsill {

std::string rise_arithmetic(double ohms, double farads) {
    constexpr PrintStyle four{.digits = 4};
    return fmt::format("{:.3f} * {} * {} = {}", rise_factor, print(Ohms{ohms}, four), print(Farads{farads}, four),
                       print(Seconds{rise_time(ohms, farads)}));
}

}  // namespace voltsill
