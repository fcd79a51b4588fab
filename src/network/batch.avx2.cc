#define VOLTSILL_VECTOR_BYTES 32
#include "network/batch_kernel.h"

namespace voltsill::batch {
const Kernel avx2_kernel{compiled_for, width, newton};
}  // namespace voltsill::batch
