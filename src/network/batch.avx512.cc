#define VOLTSILL_VECTOR_BYTES 64
#include "network/batch_kernel.h"

namespace voltsill::batch {
const Kernel avx512_kernel{compiled_for, width, newton};
}  // namespace voltsill::batch
