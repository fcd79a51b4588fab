#include "support/allocations.h"

#include <cstdlib>
#include <new>

namespace {

thread_local long count = 0;

}  // namespace

void* operator new(std::size_t size) {
    ++count;
    if (void* p = std::malloc(size)) return p;
    throw std::bad_alloc();
}
void operator delete(void* p) noexcept { std::free(p); }
void operator delete(void* p, std::size_t) noexcept { std::free(p); }

namespace voltsill::testing {

long allocations() { return count; }

}  // namespace voltsill::testing
