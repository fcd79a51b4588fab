#include "judging/finding.h"

namespace voltsill {

std::string_view to_word(Verdict verdict) {
    switch (verdict) {
        case Verdict::safe:
            return "safe";
        case Verdict::thin:
            return "thin";
        case Verdict::unknown:
            return "unknown";
        case Verdict::unreadable:
            return "unreadable";
        case Verdict::harmful:
            return "harmful";
    }
    return "unknown";
}

std::string_view to_sign(Verdict verdict) {
    switch (verdict) {
        case Verdict::safe:
            return "✓";
        case Verdict::thin:
            return "~";
        case Verdict::unknown:
            return "?";
        case Verdict::unreadable:
            return "≠";
        case Verdict::harmful:
            return "✗";
    }
    return "?";
}

}  // namespace voltsill
