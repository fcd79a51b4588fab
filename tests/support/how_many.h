#pragma once
/// How many made cases a test tries: all of them as compiled for use, a tenth with the sanitized core, which
/// looks at memory rather than answers and is ten times as slow.
#include <cstdlib>

namespace voltsill::made {

inline unsigned how_many(unsigned cases) {
    static const bool sanitized = std::getenv("VOLTSILL_SANITIZED") != nullptr;
    return sanitized ? (cases + 9) / 10 : cases;
}

}  // namespace voltsill::made
