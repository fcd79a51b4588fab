#include "wiring/decoupling.h"

namespace voltsill {
namespace {

std::string decouples(const std::string& part) { return "decouples " + part + " "; }

}  // namespace

std::string decoupling_purpose(const std::string& part, const std::string& supply) {
    return decouples(part) + "at " + supply;
}

bool is_decoupling_of(const WiredPart& capacitor, const std::string& part) {
    return capacitor.purpose.starts_with(decouples(part));
}

}  // namespace voltsill
