#define VOLTSILL_VECTOR_BYTES 16
#include "network/batch_kernel.h"

namespace voltsill::batch {
const Kernel baseline_kernel{compiled_for, width, newton};
}  // namespace voltsill::batch
