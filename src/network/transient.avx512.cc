#define VOLTSILL_VECTOR_BYTES 64
#include "network/transient_kernel.h"

namespace voltsill::batch {
const TransientKernel transient_avx512{compiled_for, width, advance};
}  // namespace voltsill::batch
