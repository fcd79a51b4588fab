#pragma once
/// How many made cases a test tries: all of them as compiled for use, a tenth under a sanitizer, which
/// looks at memory rather than answers and is ten times as slow.
namespace voltsill::made {

constexpr unsigned how_many(unsigned cases) {
#ifdef __SANITIZE_ADDRESS__
    return cases / 10;
#else
    return cases;
#endif
}

}  // namespace voltsill::made
